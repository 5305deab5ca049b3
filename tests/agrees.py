"""How a figure is held against a published one: relative, with a reason, and never against zero."""


def agrees(got: float, published: float, *, percent: float, because: str) -> bool:
    """Whether `got` lies within `percent` of `published`; raises when the comparison could not fail honestly."""
    if published == 0.0:
        raise ValueError("a published zero has no relative band: compare something else")
    if len(because.split()) < 3:
        raise ValueError("say in words why this tolerance is right")
    return abs(got - published) <= abs(published) * percent / 100.0
