"""A cooling system as a vessel: step by step, without any of the formulas that are tested."""

from dataclasses import dataclass, field


@dataclass
class Vessel:
    """A well mixed volume [L] and the amounts dissolved in it [amount a litre times litres]."""

    volume: float
    amounts: dict[str, float] = field(default_factory=dict)

    @classmethod
    def of(cls, volume, **levels):
        return cls(volume, {key: level * volume for key, level in levels.items()})

    def level(self, key):
        return self.amounts.get(key, 0.0) / self.volume

    def drain(self, volume):
        share = volume / self.volume
        self.amounts = {key: amount * (1.0 - share) for key, amount in self.amounts.items()}
        self.volume -= volume

    def evaporate(self, volume):
        self.volume -= volume

    def add(self, volume, **levels):
        for key, level in levels.items():
            self.amounts[key] = self.amounts.get(key, 0.0) + level * volume
        self.volume += volume

    def flow_through(self, volume, steps=20_000, **levels):
        """Take a volume in, and let as much out, in small equal steps."""
        for _ in range(steps):
            self.drain(volume / steps)
            self.add(volume / steps, **levels)
