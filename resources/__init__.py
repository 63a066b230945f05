"""Icons, fonts, sample bags and translations: data only."""
