"""Which span of days the year sheet covers."""

from datetime import date

from sales.forms.period import PeriodForm
from sales.queries.year import whole_span


class SpanForm(PeriodForm):
    """A span of days; the calendar year of its last day where the first is left empty."""

    @property
    def span(self) -> tuple[date, date]:
        """Return the first and the last day, both given."""
        since, until = self.days
        return whole_span(since, until)
