"""The ledger of batches as plain text: a line a batch, a line a variant, what they can show."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from rodhours.report.text_tables import aligned, wrapped
from rodhours.wording import ledger as words
from rodhours.wording.numbers import MISSING, number


def ledger_text(ledger: Mapping[str, Any], width: int | None = None) -> str:
    """The ledger in its machine form as text; sentences are wrapped at `width`."""
    if not ledger["batches"]:
        return words.NO_BATCHES
    parts = [
        "\n".join(aligned(_batches(ledger["batches"]), width)),
        "\n".join(aligned(_variants(ledger["variants"]), width)),
        wrapped(words.SPREAD, width),
    ]
    parts += [
        wrapped(words.dry_to_an_egg(one["variant"], own["grams"], own["batches"]), width)
        for one in ledger["variants"]
        if (own := one["dry_g_per_egg"]) is not None
    ]
    single = [one["variant"] for one in ledger["variants"] if one["batches"] == 1]
    parts += [wrapped(said, width) for said in (words.one_batch_of(single),) if said]
    return "\n\n".join(parts)


def _batches(batches: Sequence[Mapping[str, Any]]) -> list[list[str]]:
    rows = [
        [
            "batch",
            "variant",
            "made",
            "baits",
            "dry mix g",
            "eggs",
            "size mm",
            "boil s",
            "dried days",
            "stints",
            "age at use days",
        ]
    ]
    for one in batches:
        size, use = one["size"], one["use"]
        rows.append(
            [
                one["batch"],
                one["variant"],
                one["date"],
                _figure(one["baits"]),
                _figure(one["dry_g"]),
                _figure(one["eggs"]),
                _decimals(size["mean_mm"]),
                _figure(one["boil_s"]),
                _figure(one["drying_days"]),
                f"{use['stints']:,}",
                _span(use["youngest_days"], use["oldest_days"]),
            ]
        )
    return rows


def _variants(variants: Sequence[Mapping[str, Any]]) -> list[list[str]]:
    rows = [["variant", "batches", "baits measured", "mean", "spread", "within", "between"]]
    rows.extend(
        [
            one["variant"],
            f"{one['batches']:,}",
            f"{one['baits']:,}",
            *(_decimals(one[name], 2) for name in ("mean_mm", "sd_mm")),
            *(_decimals(one[name], 2) for name in ("within_sd_mm", "between_sd_mm")),
        ]
        for one in variants
    )
    return rows


def _figure(value: float | None) -> str:
    return MISSING if value is None else f"{value:,.10g}"


def _decimals(value: float | None, decimals: int = 1) -> str:
    return MISSING if value is None else number(value, decimals)


def _span(low: int | None, high: int | None) -> str:
    if low is None:
        return MISSING
    return f"{low:,}" if low == high else f"{low:,} to {high:,}"
