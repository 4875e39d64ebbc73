"""Reading which days a page about space covers."""

from datetime import date

from sales.forms.period import PeriodForm


class SpaceForm(PeriodForm):
    """A span of days with both ends: this year up to today unless others were asked for."""

    @property
    def span(self) -> tuple[date, date]:
        """Return the two ends, in order and not beyond today."""
        since, until = self.days
        last = min(until or date.today(), date.today())
        first = since or last.replace(month=1, day=1)
        return min(first, last), last
