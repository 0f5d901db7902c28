"""Settings for all tests: no test fails because the machine is slow or busy."""

from hypothesis import HealthCheck, settings

settings.register_profile("guide", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("guide")
