"""Settings."""

from __future__ import annotations

import os
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from trainer.config import Settings, SettingsError, settings_from

SECRET = "s" * 32


def test_everything_has_a_default_but_the_place_can_be_named(tmp_path: Path) -> None:
    settings = settings_from({"TRAINER_DATA": str(tmp_path / "here")})
    assert settings.data_folder == tmp_path / "here"
    assert settings.database_url == f"sqlite:///{tmp_path / 'here' / 'trainer.sqlite3'}"
    assert settings.trusted_proxies == 0


def test_a_folder_named_as_argument_goes_before_the_environment(tmp_path: Path) -> None:
    settings = settings_from({"TRAINER_DATA": str(tmp_path / "there")}, data_folder=tmp_path / "here")
    assert settings.data_folder == tmp_path / "here"
    assert not (tmp_path / "there").exists()


def test_secret_and_database_can_be_named(tmp_path: Path) -> None:
    environment = {"TRAINER_SECRET_KEY": SECRET, "TRAINER_DATABASE_URL": "postgresql://trainer@db.example/trainer"}
    settings = settings_from(environment, data_folder=tmp_path)
    assert settings.secret_key == SECRET
    assert settings.database_url == environment["TRAINER_DATABASE_URL"]
    assert list(tmp_path.iterdir()) == []


def test_a_short_secret_is_refused(tmp_path: Path) -> None:
    with pytest.raises(SettingsError, match="at least 32 characters"):
        settings_from({"TRAINER_SECRET_KEY": "short"}, data_folder=tmp_path)


def test_many_that_start_at_once_agree_on_one_secret(tmp_path: Path) -> None:
    with ThreadPoolExecutor(8) as pool:
        settings = list(pool.map(lambda _: settings_from({}, data_folder=tmp_path), range(8)))
    assert len({each.secret_key for each in settings}) == 1
    assert [path.name for path in tmp_path.iterdir()] == ["secret-key"]


@pytest.mark.skipif(os.name != "posix", reason="file modes exist on Unix only")
def test_a_secret_that_others_can_read_is_refused(tmp_path: Path) -> None:
    settings_from({}, data_folder=tmp_path)
    (tmp_path / "secret-key").chmod(0o644)
    with pytest.raises(SettingsError, match="others can read"):
        settings_from({}, data_folder=tmp_path)


def test_a_damaged_secret_is_refused(tmp_path: Path) -> None:
    settings_from({}, data_folder=tmp_path)
    (tmp_path / "secret-key").write_text("", encoding="ascii")
    with pytest.raises(SettingsError, match="damaged"):
        settings_from({}, data_folder=tmp_path)


def test_a_folder_that_cannot_be_made_is_told(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="ascii")
    with pytest.raises(SettingsError, match="cannot be made"):
        settings_from({}, data_folder=tmp_path / "file" / "folder")


@pytest.mark.parametrize("value", ["-1", "one", "1.5", ""])
def test_a_number_of_proxies_that_is_none_is_refused(tmp_path: Path, value: str) -> None:
    with pytest.raises(SettingsError, match="TRAINER_TRUSTED_PROXIES"):
        settings_from({"TRAINER_TRUSTED_PROXIES": value, "TRAINER_SECRET_KEY": SECRET}, data_folder=tmp_path)


def test_printing_the_settings_shows_no_secret() -> None:
    settings = Settings(data_folder=Path("data"), database_url="postgresql://u:password@h/d", secret_key=SECRET)
    for text in (repr(settings), str(settings)):
        assert SECRET not in text
        assert "password" not in text


@pytest.mark.skipif(sys.platform == "win32", reason="file modes exist on Unix only")
def test_the_data_folder_is_closed_to_others(tmp_path: Path) -> None:
    settings_from({}, data_folder=tmp_path / "data")
    assert (tmp_path / "data").stat().st_mode & 0o077 == 0


def test_every_setting_is_explained_in_the_documentation(root: Path) -> None:
    import trainer.config

    names = {
        value for value in vars(trainer.config).values() if isinstance(value, str) and value.startswith("TRAINER_")
    }
    text = (root / "docs/operations.md").read_text(encoding="utf-8")
    assert len(names) == 10
    assert {name for name in names if f"`{name}`" not in text} == set()
