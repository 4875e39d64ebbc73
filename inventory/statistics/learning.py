"""What a share probably is, from what was thought before and what was counted since."""

from dataclasses import dataclass

from inventory.statistics.proportions import USUAL, Interval, Tally


@dataclass(frozen=True)
class Beta:
    """Knowledge of a share: as if `came` plants had come through and `lost` had not."""

    came: float
    lost: float

    @classmethod
    def thought(cls, share: float, weight: float) -> "Beta":
        """Return a share thought of beforehand, which counts as much as `weight` plants."""
        if not 0 < share < 1 or weight <= 0:
            raise ValueError(f"Nothing is learnt of {share} with the weight of {weight} plants.")
        return cls(share * weight, (1 - share) * weight)

    def after(self, tally: Tally) -> "Beta":
        """Return what is known once a tally was counted (the beta-binomial rule of Bayes)."""
        return Beta(self.came + tally.came, self.lost + tally.of - tally.came)

    @property
    def mean(self) -> float:
        return self.came / self.weight

    @property
    def weight(self) -> float:
        """How many plants the knowledge is worth."""
        return self.came + self.lost

    @property
    def variance(self) -> float:
        return self.mean * (1 - self.mean) / (self.weight + 1)

    def quantile(self, chance: float) -> float:
        """Return the share that the true one is below with that chance."""
        from scipy.special import betaincinv

        return float(betaincinv(self.came, self.lost, chance))

    def interval(self, confidence: float = USUAL) -> Interval:
        """Return the bounds of the share with as much chance beyond either of them."""
        beyond = (1 - confidence) / 2
        return Interval(self.quantile(beyond), self.quantile(1 - beyond))
