"""What is said of a committee's placings, held against each other."""

from __future__ import annotations

from scoring.core.committee import LEAST_CONCORDANCE, Agreement
from scoring.core.points import figure
from scoring.core.texts import gettext as _


def agreement_in_words(agreement: Agreement) -> str:
    """Whether the officials of a class agree reasonably, by how much, and what is asked of them."""
    if agreement.is_reasonable:
        text = _(
            "Reasonable agreement: the orders agree by {orders} of 1 ({enough} is enough), and by the officials’ own "
            "keys the best common placing loses {lost} points on average (at most {most})."
        )
    elif agreement.points_agree:
        text = _(
            "No reasonable agreement: the officials’ orders agree by {orders} of 1 alone, and {enough} would be "
            "enough. They put the animals in different orders, though by few points."
        )
    elif agreement.orders_agree:
        text = _(
            "No reasonable agreement: by the officials’ own keys the best common placing loses {lost} points on "
            "average, more than {most}. A pair that one is sure of stands the other way round."
        )
    else:
        text = _(
            "No reasonable agreement: the officials’ orders agree by {orders} of 1 alone, where {enough} would be "
            "enough, and by their own keys the best common placing loses {lost} points on average, more than {most}."
        )
    return text.format(
        orders=figure(agreement.concordance),
        enough=figure(LEAST_CONCORDANCE),
        lost=figure(agreement.mean_loss),
        most=figure(agreement.most),
    )
