"""Every zipped bag of the kept file holds what it held; the suite looks at forty of them."""

from tests.core.solid.test_kept_folds import kept, no_differences, volume_differences


def test_every_kept_bag_holds_what_it_held() -> None:
    assert len(kept().zipped) == 134
    no_differences(list(volume_differences(kept().zipped)))
