"""A pytest plugin: Hypothesis stops at the first failing example. That it fails is all that is asked here."""

from hypothesis import Phase, settings

settings.register_profile("no shrinking", phases=(Phase.explicit, Phase.generate, Phase.target))
settings.load_profile("no shrinking")
