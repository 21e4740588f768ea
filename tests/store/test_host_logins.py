"""Sign-ins of the host: what the token opens, for how long, and what the database alone tells."""

from datetime import datetime, timedelta

import pytest
from sqlalchemy import Engine, select

from tasting.store import host_logins
from tasting.store.access import choose_passphrase, link_secret
from tasting.store.database import reading
from tasting.store.schema import host_session

SECRET = bytes(range(64))


def kept(engine: Engine) -> list[tuple[str, ...]]:
    with reading(engine) as connection:
        return [tuple(row) for row in connection.execute(select(host_session))]


def test_the_token_gives_the_secret_back(engine: Engine, now: datetime) -> None:
    token = host_logins.begin(engine, SECRET, now)

    assert host_logins.secret_of(engine, token, now) == SECRET


def test_the_secret_of_the_passphrase_fits(
    engine: Engine, now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("tasting.store.access.SCRYPT_N", 2)
    choose_passphrase(engine, "rhubarb and bay")
    secret = link_secret(engine, "rhubarb and bay")

    assert host_logins.secret_of(engine, host_logins.begin(engine, secret, now), now) == secret


@pytest.mark.parametrize("guess", ["", "x", "0" * 43, "ü" * 10_000])
def test_another_token_opens_nothing(engine: Engine, now: datetime, guess: str) -> None:
    host_logins.begin(engine, SECRET, now)

    assert host_logins.secret_of(engine, guess, now) is None


def test_the_token_has_256_bits_and_none_is_like_another(engine: Engine, now: datetime) -> None:
    tokens = {host_logins.begin(engine, SECRET, now) for _ in range(20)}

    assert len(tokens) == 20
    assert all(len(token) >= 256 / 6 for token in tokens)  # base64: six bits a sign


def test_the_database_holds_neither_token_nor_secret(engine: Engine, now: datetime) -> None:
    token = host_logins.begin(engine, SECRET, now)
    told = repr(kept(engine))

    assert token not in told
    assert SECRET.hex() not in told


def test_two_sign_ins_seal_the_same_secret_differently(engine: Engine, now: datetime) -> None:
    for _ in range(2):
        host_logins.begin(engine, SECRET, now)

    assert len({sealed for _, sealed, _ in kept(engine)}) == 2


def test_it_ends_by_itself(engine: Engine, now: datetime) -> None:
    token = host_logins.begin(engine, SECRET, now)
    last = now + host_logins.LASTS

    assert host_logins.secret_of(engine, token, last - timedelta(seconds=1)) == SECRET
    assert host_logins.secret_of(engine, token, last) is None


def test_what_has_ended_is_forgotten_at_the_next_sign_in(engine: Engine, now: datetime) -> None:
    host_logins.begin(engine, SECRET, now)
    host_logins.begin(engine, SECRET, now + host_logins.LASTS)

    assert len(kept(engine)) == 1


def test_signing_out_ends_this_sign_in_and_no_other(engine: Engine, now: datetime) -> None:
    one, other = (host_logins.begin(engine, SECRET, now) for _ in range(2))
    host_logins.end(engine, one)

    assert host_logins.secret_of(engine, one, now) is None
    assert host_logins.secret_of(engine, other, now) == SECRET
