"""Documents renamed and deleted on the screen, by keys and by their form."""

from pathlib import Path

from tests.tui.desks import opened, press, seen, type_words


async def test_a_device_is_renamed_looked_at_still_and_comes_back(folder: Path) -> None:
    async with opened(folder) as (app, pilot):
        profile = app.session.profile_id
        await press(app, pilot, "f6", "enter")
        await press(app, pilot, *["backspace"] * 4)
        await type_words(app, pilot, "harbour")
        await press(app, pilot, "enter")
        assert "Id `harbour` is taken in this library" in seen(app)
        await press(app, pilot, *["backspace"] * 7)
        await type_words(app, pilot, "bench")
        await press(app, pilot, "enter")
        assert "Harbour on the desk names it by its new id" in seen(app)
        await press(app, pilot, "y")
        assert (app.session.device_id, app.session.profile_id) == ("bench", profile)
        assert app.session.library.profiles[profile].device_ids == ("bench",)
        await press(app, pilot, "u")
        assert (app.session.device_id, app.session.profile_id) == ("desk", profile)


async def test_a_profile_is_deleted_after_it_was_told_what_goes(folder: Path) -> None:
    async with opened(folder) as (app, pilot):
        await press(app, pilot, "f7")
        await type_words(app, pilot, "harbour-desk")
        await press(app, pilot, "enter")
        assert "go with it" in seen(app)
        await press(app, pilot, "b")
        assert "harbour-desk" in app.session.library.profiles
        await press(app, pilot, "f7")
        await type_words(app, pilot, "harbour-desk")
        await press(app, pilot, "enter", "y")
        assert "harbour-desk" not in app.session.library.profiles
        await press(app, pilot, "ctrl+s")
        assert not (folder / "bindings.toml").exists()


async def test_the_id_in_a_form_is_changed_everywhere_and_the_form_goes_on(folder: Path) -> None:
    async with opened(folder) as (app, pilot):
        await press(app, pilot, "ctrl+e", "enter", "enter", "enter")
        assert "takes" in seen(app)
        await press(app, pilot, *["backspace"] * 4)
        await type_words(app, pilot, "bench")
        await press(app, pilot, "enter")
        assert "Change id `desk` to id `bench`" in seen(app)
        await press(app, pilot, "y")
        assert "bench.toml" in seen(app)
        assert app.session.device_id == "bench"
