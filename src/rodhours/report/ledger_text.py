"""The ledger of batches as plain text: a line a batch, a line a variant, what they can show."""

from __future__ import annotations

from rodhours.kitchen.ledger import Ledger, LedgerBatch, VariantBatches
from rodhours.report.text_tables import aligned, wrapped
from rodhours.words import ledger as words
from rodhours.words.numbers import MISSING, number

OF_A_BATCH = (
    *("batch", "variant", "made", "baits", "left", "dry mix g", "eggs", "size mm", "boil s"),
    *("dried days", "stints", "age at use days"),
)
OF_A_VARIANT = ("variant", "batches", "baits measured", "mean", "spread", "within", "between")


def ledger_text(ledger: Ledger, width: int | None = None) -> str:
    """The ledger as text; sentences are wrapped at `width`."""
    if not ledger.batches:
        return words.NO_BATCHES
    tables = (
        [OF_A_BATCH, *map(_batch, ledger.batches)],
        [OF_A_VARIANT, *map(_variant, ledger.variants)],
    )
    sentences = (words.SPREAD, *words.sentences(ledger))
    return "\n\n".join(
        [
            *("\n".join(aligned(rows, width)) for rows in tables),
            *(wrapped(text, width) for text in sentences),
        ]
    )


def _batch(batch: LedgerBatch) -> list[str]:
    return [
        batch.batch,
        batch.variant,
        batch.date,
        _figure(batch.baits),
        _figure(batch.baits_left),
        _figure(batch.dry_g),
        _figure(batch.eggs),
        _decimals(batch.size.mean_mm),
        _figure(batch.boil_s),
        _figure(batch.drying_days),
        f"{batch.use.stints:,}",
        _span(batch.use.youngest_days, batch.use.oldest_days),
    ]


def _variant(made: VariantBatches) -> list[str]:
    spread = (made.mean_mm, made.sd_mm, made.within_sd_mm, made.between_sd_mm)
    figures = [_decimals(figure, 2) for figure in spread]
    return [made.variant, f"{made.batches:,}", f"{made.baits:,}", *figures]


def _figure(value: float | None) -> str:
    return MISSING if value is None else f"{value:,.10g}"


def _decimals(value: float | None, decimals: int = 1) -> str:
    return MISSING if value is None else number(value, decimals)


def _span(low: int | None, high: int | None) -> str:
    if low is None:
        return MISSING
    return f"{low:,}" if low == high else f"{low:,} to {high:,}"
