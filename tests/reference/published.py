"""Published figures, block by block, each naming its source and how its digits came here.

Scope: constants only. Digits are kept as they were printed, so that a test can ask for
agreement to the last printed digit (`agrees`). Nothing here is computed by the project.

Status of a block, after every figure in it had been recomputed with general software:
PRINTED      the printed or manual value was read, directly or quoted in a public test suite;
FROM_MEMORY  quoted from memory: open the source before citing a page;
RECOMPUTED   the analysis is in the source, its digits were entered after recomputing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

PRINTED = "printed"
FROM_MEMORY = "printed, from memory"
RECOMPUTED = "recomputed only"


@dataclass(frozen=True)
class Published:
    """One block of figures: what it is, where it stands, how it came here, its digits."""

    title: str
    source: str
    status: str
    digits: Mapping[str, str]

    def __getitem__(self, name: str) -> float:
        return float(self.digits[name])

    @property
    def values(self) -> dict[str, float]:
        return {name: float(text) for name, text in self.digits.items()}

    def agrees(self, name: str, value: float, units: float = 0.5) -> bool:
        """Whether `value` lies within `units` of the last printed digit of `name`.

        Half a unit is what correct rounding allows.
        """
        text = self.digits[name]
        last = float(Decimal(1).scaleb(Decimal(text).as_tuple().exponent))
        return abs(value - float(text)) <= units * last * (1 + 1e-9)


# One rate: exact limits
GARWOOD_95 = Published(
    "Garwood 95% limits (3 decimals as tabulated)",
    "Garwood 1936, Biometrika 28:437-442; chi-square form; tabulated in Breslow & Day 1987 vol II",
    FROM_MEMORY,
    {
        "garwood95_hi_0": "3.689",
        "garwood95_lo_1": "0.025",
        "garwood95_hi_1": "5.572",
        "garwood95_lo_2": "0.242",
        "garwood95_hi_2": "7.225",
        "garwood95_lo_3": "0.619",
        "garwood95_hi_3": "8.767",
        "garwood95_lo_5": "1.623",
        "garwood95_hi_5": "11.668",
        "garwood95_lo_10": "4.795",
        "garwood95_hi_10": "18.390",
        "garwood95_lo_20": "12.217",
        "garwood95_hi_20": "30.888",
        "garwood95_lo_50": "37.111",
        "garwood95_hi_50": "65.919",
        "garwood95_lo_100": "81.364",
        "garwood95_hi_100": "121.627",
        "garwood99_hi_0": "5.298",
        "upper95_onesided_0": "2.996",
    },
)
ONE_RATE_15_IN_400 = Published(
    "one rate, 15 in 400",
    "statsmodels test suite test_rates_poisson.py, quoting R DescTools PoissonCI / exactci "
    "/ ratesci (15 events in 400)",
    PRINTED,
    {
        "one_15_400_exact_lo": "0.0209884653319583",
        "one_15_400_exact_hi": "0.0618505471787146",
        "sm_15_400_score_lo": "0.0227264749053794",
        "sm_15_400_score_hi": "0.0618771721463559",
        "sm_15_400_jeff_lo": "0.0219234232268444",
        "sm_15_400_jeff_hi": "0.0602898619930649",
        "sm_15_400_p05_exact": "0.313026269279486",
        "sm_15_400_p05_score": "0.263552477282973",
        "one_15_400_midp_hi": "0.0604627555786095",
    },
)

# Two rates
XRAY = Published(
    "X-ray fluoroscopy / breast cancer 41/28010 v 15/19017",
    "Stata web page 'Incidence-rate ratio calculator' and [R] Epitab iri 41 15 28010 19017 "
    "(Boice & Monson 1977; Rothman textbook)",
    PRINTED,
    {
        "xray_rr": "1.855759",
        "xray_exact_lo": "1.005684",
        "xray_exact_hi": "3.6093",
        "xray_ird": "0.000675",
        "xray_ird_lo": "0.0000749",
        "xray_ird_hi": "0.0012751",
        "xray_midp1_upper": "0.0177",
        "xray_midp2": "0.0355",
    },
)
GU_EXAMPLE_1 = Published(
    "Gu et al. 2008 example 1: 60/51477.5 v 30/54308.7, H0 ratio 1, one-sided p of W1..W5, "
    "E-tests, exact, mid-p",
    "Gu, Ng, Tang & Schucany 2008, Biometrical Journal 50:283-298, examples 1 and 2 (values"
    " as quoted in the statsmodels test suite)",
    PRINTED,
    {
        "gu1_p1": "0.000356",
        "gu1_p2": "0.000316",
        "gu1_p3": "0.000420",
        "gu1_p4": "0.000200",
        "gu1_p5": "0.000285",
        "chd_p1_upper": "0.000428",
        "chd_midp1_upper": "0.000310",
        "sm_gu1_etest_score_p": "0.000298",
    },
)
GU_EXAMPLE_1_INTERVALS = Published(
    "Li, Tang & Wong 2014 90% ratio interval (FR, waldcc); ratesci scoreci 95%",
    "Li, Tang & Wong 2014 / R ratesci, quoted in statsmodels tests",
    PRINTED,
    {
        "sm_gu1_ci90_waldcc_lo": "1.4523",
        "sm_gu1_ci90_waldcc_hi": "3.0154",
        "sm_gu1_ci95_score_lo": "1.365962",
        "sm_gu1_ci95_score_hi": "3.259306",
        "chd_exact_lo": "1.339735721772650",
        "chd_exact_hi": "3.388365573616252",
    },
)
FAY_9 = Published(
    "2/17877 v 9/16660: central p just above .05, interval just covers 1",
    "Fay, rateratio.test vignette (2022), section 1; Fay 2010, R Journal 2(1):53-58",
    PRINTED,
    {
        "fay9_p2_central": "0.05011",
        "fay9_exact_lo": "0.02177406",
        "fay9_exact_hi": "1.00054910",
        "fay9_rr": "0.2070941557",
    },
)
FAY_10 = Published(
    "2/17877 v 10/20000: minimum-likelihood p < .05 while the central interval covers 1",
    "Fay, rateratio.test vignette (2022), section 1; Fay 2010, R Journal 2(1):53-58 "
    "(exactci vignette)",
    PRINTED,
    {
        "fay10_p2_minlike": "0.04213",
        "fay10_exact_lo": "0.02383738",
        "fay10_exact_hi": "1.04995468",
        "fay10_rr": "0.2237512",
    },
)

# Poisson regression with offset
DOCTORS_REGRESSION = Published(
    "British doctors: IRR smoking adjusted for age",
    "Doll & Hill 1966; Breslow & Day 1987 vol II; Stata [R] poisson and [R] Epitab (dollhill3)",
    FROM_MEMORY,
    {
        "doc_irr_smoker": "1.425519",
        "doc_irr_se": "0.1530638",
        "doc_irr_lo": "1.154984",
        "doc_irr_hi": "1.759421",
        "doc_irr_age2": "4.410584",
        "doc_irr_age3": "13.8392",
        "doc_irr_age4": "28.51678",
        "doc_irr_age5": "40.45121",
        "doc_loglik": "-33.600153",
        "doc_deviance": "12.13244",
        "doc_pearson": "11.15533",
        "py_doc_irr_smoker": "1.425519",
    },
)
DOCTORS_STRATA = Published(
    "British doctors: Mantel-Haenszel rate ratio and stratum exact limits",
    "Doll & Hill 1966; Breslow & Day 1987 vol II; Stata [R] poisson and [R] Epitab (dollhill3)",
    FROM_MEMORY,
    {
        "doc_mh_rr": "1.424682",
        "doc_mh_lo": "1.154703",
        "doc_mh_hi": "1.757784",
        "doc_stratum_rr1": "5.736638",
        "doc_stratum_lo1": "1.463557",
        "doc_stratum_hi1": "49.40468",
        "doc_stratum_rr2": "2.138812",
        "doc_stratum_lo2": "1.173714",
        "doc_stratum_hi2": "4.272545",
        "doc_stratum_rr5": "0.9047304",
        "doc_crude_rr": "1.719823",
        "doc_crude_lo": "1.391992",
        "doc_crude_hi": "2.14353",
    },
)
SHIPS_ESTIMATES = Published(
    "ship damage: estimates (2 decimals) with quasi-Poisson standard errors",
    "McCullagh & Nelder 1989, Generalized Linear Models 2nd ed., Table 6.2 (data), section "
    "6.3.2 and Table 6.3",
    RECOMPUTED,
    {
        "ships_b_(Intercept)": "-6.41",
        "ships_b_typeB": "-0.54",
        "ships_b_typeC": "-0.69",
        "ships_b_typeD": "-0.08",
        "ships_b_typeE": "0.33",
        "ships_b_year65": "0.70",
        "ships_b_year70": "0.82",
        "ships_b_year75": "0.45",
        "ships_b_period75": "0.38",
        "ships_qse_typeB": "0.23",
        "ships_qse_period75": "0.15",
    },
)
SPRAYS_AND_WARPBREAKS = Published(
    "InsectSprays (Beall 1942) and warpbreaks (Tippett 1950): reference-software values",
    "R datasets; Beall 1942; Tippett 1950",
    RECOMPUTED,
    {
        "spray_b_(Intercept)": "2.67415",
        "spray_b_sprayC": "-1.94018",
        "spray_deviance": "98.329",
        "warp_deviance": "182.305",
        "warp_b_woolB": "-0.45663",
        "warp_nb_theta": "12.08",
    },
)

# Session effects: gamma and normal
SHIPS_GAMMA = Published(
    "ship damage, gamma random effect (negative multinomial)",
    "Stata [XT] xtpoisson manual, ships example (printed output quoted in a public test suite)",
    PRINTED,
    {
        "ships_gamma_ll": "-74.811217",
        "ships_gamma_irr_period75": "1.466305",
        "ships_gamma_irrse_period75": "0.1734005",
        "ships_gamma_irr_year65": "2.032543",
        "ships_gamma_irr_year70": "2.356853",
        "ships_gamma_irr_year75": "1.641913",
        "ships_gamma_lnalpha": "-2.368406",
        "ships_gamma_lnalpha_se": "0.8474597",
        "ships_gamma_alpha": "0.0936298",
        "ships_gamma_lr": "10.61",
    },
)
SHIPS_NORMAL = Published(
    "ship damage, normal random effect",
    "Stata [XT] xtpoisson manual, ships example (printed output quoted in a public test suite)",
    PRINTED,
    {
        "ships_normal_ll": "-74.780982",
        "ships_normal_exact_irr_period75": "1.466677",
        "ships_normal_exact_irr_year65": "2.032604",
        "ships_normal_exact_irr_year70": "2.357045",
        "ships_normal_exact_irr_year75": "1.646935",
        "ships_normal_irrse_period75": "0.1734403",
        "ships_normal_lnsig2u": "-2.351868",
        "ships_normal_sigma_u": "0.3085306",
        "ships_normal_sigma_u_exact": "0.3085306",
    },
)
QUINE_INTERACTION = Published(
    "quine Days ~ Sex/(Age + Eth*Lrn): theta 1.60 (0.21), 2 log-lik -1063.025",
    "Venables & Ripley, Modern Applied Statistics with S 4th ed., section 7.4 (quine) and R"
    " help for glm.nb",
    RECOMPUTED,
    {
        "quine_vr_theta": "1.597991",
        "quine_vr_se_theta": "0.213",
        "quine_vr_2ll": "-1063.025",
        "quine_vr_dev": "167.56",
    },
)
QUINE_MAIN_EFFECTS = Published(
    "quine main effects (widely reproduced glm.nb output)",
    "Venables & Ripley, Modern Applied Statistics with S 4th ed., section 7.4 (quine) and R"
    " help for glm.nb",
    RECOMPUTED,
    {
        "quine_main_theta": "1.275",
        "quine_main_se_theta": "0.161",
        "quine_main_2ll": "-1093.151",
        "quine_main_b_EthN": "-0.56937",
        "py_quine_theta": "1.275",
    },
)
MITES = Published(
    "apple-leaf mites: mean 1.1467, variance 2.2736, ML k 1.0246",
    "Bliss & Fisher 1953, Biometrics 9:176-200",
    RECOMPUTED,
    {
        "mites_mean": "1.1467",
        "mites_var": "2.2736",
        "mites_k_ml": "1.02459",
    },
)


# Blanks and zero truncation
CHOLERA = Published(
    "cholera households (55 with cases): zero-truncated lambda 0.972, N about 88-89",
    "McKendrick 1926; Dahiya & Gross 1973, JASA 68:731-733",
    FROM_MEMORY,
    {
        "chol_lambda": "0.972",
        "chol_N": "88.46",
        "chol_vgam_lambda": "0.972",
    },
)
GALL_FLY = Published(
    "gall-fly eggs 1935, lambda 2.860",
    "Finney & Varley 1955, Biometrics 11:387-394",
    RECOMPUTED,
    {
        "gall_lambda": "2.860",
    },
)


# Random intercept, normal response
ERGO_STOOL = Published(
    "Effort to arise from a stool, random intercept by subject, REML",
    "Pinheiro & Bates (2000), Mixed-Effects Models in S and S-PLUS, section 1.2 (lme output)",
    FROM_MEMORY,
    {
        "T2": "3.8889",
        "T3": "2.2222",
        "T4": "0.6667",
        "standard error": "0.5187",
        "subject sd": "1.332465",
        "residual sd": "1.100295",
    },
)

# Looks after every trip
NORMAL_MIXTURE = Published(
    "two-sided normal mixture at alpha 0.05: tuning rho for variance 100, boundary, log mixture",
    "Howard, Ramdas, McAuliffe & Sekhon 2021, Annals of Statistics 49:1055-1080; unit tests of "
    "the authors' library",
    PRINTED,
    {
        "rho": "12.60056",
        "boundary": "30.35209",
        "log mixture": "-0.6510052",
    },
)
POCOCK = Published(
    "constant |z| over K equally spaced looks that a normal mean passes with chance 5 %",
    "Pocock 1977, Biometrika 64:191-199, Table 1; Jennison & Turnbull 2000, Table 2.1",
    FROM_MEMORY,
    {
        "2": "2.178",
        "3": "2.289",
        "4": "2.361",
        "5": "2.413",
        "10": "2.555",
        "20": "2.672",
    },
)
REPEATED_LOOKS = Published(
    "chance that a 5 % test of a normal mean errs at any of K equally spaced looks",
    "Armitage, McPherson & Rowe 1969, JRSS A 132:235-244, Table 2",
    FROM_MEMORY,
    {
        "2": "0.083",
        "3": "0.107",
        "5": "0.142",
        "10": "0.193",
    },
)

# Rotations
LATIN_SQUARES = Published(
    "Latin squares of order 3 and 4, all of them",
    "Fisher & Yates 1934, Proceedings of the Cambridge Philosophical Society 30:492-507; "
    "Statistical Tables XV",
    FROM_MEMORY,
    {"3": "12", "4": "576"},
)
BALANCED_BLOCKS = (
    # variants, size, pairs together, blocks, blocks of each variant
    (4, 3, 2, 4, 3),
    (5, 3, 3, 10, 6),
    (6, 3, 2, 10, 5),
    (7, 3, 1, 7, 3),
    (7, 4, 2, 7, 4),
    (9, 3, 1, 12, 4),
    (13, 3, 1, 26, 6),
)
"""Parameters of balanced incomplete blocks: Fisher & Yates, Statistical Tables XVII-XIX; Cochran &
Cox 1957, Experimental Designs, plans 11.1 to 11.46. From memory."""
FANO_PLANE = ("013", "124", "235", "346", "450", "561", "602")
"""The 7 blocks of 3 out of 7: Cochran & Cox 1957, plan 11.7 up to labels. From memory."""
FANO_EFFICIENCY = Published(
    "efficiency factor of 7 blocks of 3 out of 7",
    "Cochran & Cox 1957, Experimental Designs, plan 11.7",
    FROM_MEMORY,
    {"efficiency": "0.78"},
)
