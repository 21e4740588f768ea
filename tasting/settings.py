"""Every environment variable that the program reads, and what each means."""

import os

DATABASE = "TASTING_DATABASE"
"""Address of the database: sqlite:///FILE or postgresql+psycopg://…; else a file of the user's."""

BASE_URL = "TASTING_BASE_URL"
"""Address under which phones reach the app, where the host's own would not do: behind a proxy."""

_PROXIES = "TASTING_PROXIES"
"""Addresses of the reverse proxies that are believed about whom they speak for, with commas."""

SETUP_CODE = "TASTING_SETUP_CODE"
"""What has to be typed when the host's passphrase is chosen; `tasting app` prints it."""

HOSTS = "TASTING_HOSTS"
"""E-mail addresses of the hosts who log in with an identity provider, separated by commas."""


def database() -> str:
    """The address of the database, or nothing."""
    return os.environ.get(DATABASE, "")


def base_url() -> str:
    """The address for phones without a slash at its end, or nothing."""
    return os.environ.get(BASE_URL, "").rstrip("/")


def proxies() -> str:
    """The proxies whose X-Forwarded-For is believed; one on this machine where a base URL is set.

    Nobody else's is: whoever could choose their own address could guess without a wait.
    """
    return os.environ.get(_PROXIES, "127.0.0.1,::1" if base_url() else "")


def setup_code() -> str:
    """The setup code, or nothing."""
    return os.environ.get(SETUP_CODE, "")


def hosts() -> frozenset[str]:
    """The hosts' addresses in lower case; empty where single sign-on is not used."""
    listed = (one.strip().casefold() for one in os.environ.get(HOSTS, "").split(","))
    return frozenset(one for one in listed if one)
