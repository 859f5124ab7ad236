"""The whole job, from an empty device to a finished scene, by gestures alone: the bench's own checks, and the goal."""

import pytest

from tests.bench import job


@pytest.mark.parametrize("panel", job.PANELS)
def test_the_whole_job_in_a_hundred_gestures(panel):
    parts, detents = job.counts(panel)
    assert sum(parts.values()) <= 100, parts
    assert parts["measure"] - 4 < 10  # two readings and the correction, once the first lamp's page is open
    assert all(detents[part] <= 24 * parts[part] for part in parts)
