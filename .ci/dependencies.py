"""Checks the dependencies that are built against `deny.toml`, without anything to install.

    python .ci/dependencies.py

The licences, bans and sources of `cargo deny check licenses bans sources`, which reads the same file and checks more.
What is built is what `cargo tree` lists for every target of the file. Exit code 0 when all is as the file says, else 1.
"""

import pathlib
import re
import subprocess
import sys
import tomllib

ROOT = pathlib.Path(__file__).resolve().parents[1]
REGISTRY = "registry+https://github.com/rust-lang/crates.io-index"


def tree(*arguments):
    command = ["cargo", "tree", "--locked", "--workspace", "--edges", "normal,build,dev", "--prefix", "none", *arguments]
    return subprocess.run(command, cwd=ROOT, check=True, capture_output=True, text=True).stdout.splitlines()


def built(targets):
    """Name and licence of every package of every target."""
    found = set()
    for target in targets:
        for line in tree("--target", target, "--format", "{p}|{l}"):
            package, _, licence = line.removesuffix(" (*)").partition("|")
            if package:
                found.add((package.split()[0], package, licence))
    return found


def holds(expression, allowed):
    """Whether an SPDX expression can be met by allowed licences; a slash is an old way to write OR."""
    tokens = re.findall(r"[()]|\bOR\b|\bAND\b|[A-Za-z0-9.+-]+(?: WITH [A-Za-z0-9.-]+)?", expression.replace("/", " OR "))
    position = 0

    def take():
        nonlocal position
        position += 1
        return tokens[position - 1]

    def following():
        return tokens[position] if position < len(tokens) else None

    def one():
        token = take()
        if token != "(":
            return token in allowed
        value = either()
        take()
        return value

    def both():
        value = one()
        while following() == "AND":
            take()
            value = one() and value
        return value

    def either():
        value = both()
        while following() == "OR":
            take()
            value = both() or value
        return value

    return bool(tokens) and either()


def parents(name, targets):
    """Packages that ask for this one themselves."""
    found = set()
    for target in targets:
        lines = tree("--target", target, "--invert", name, "--depth", "1", "--format", "{p}")
        found.update(line.split()[0] for line in lines if line.strip())
    return found - {name}


def main():
    rules = tomllib.loads((ROOT / "deny.toml").read_text())
    targets = rules["graph"]["targets"]
    packages = built(targets)
    wrong = []
    for name, package, licence in sorted(packages):
        if not holds(licence, rules["licenses"]["allow"]):
            wrong.append(f"licence: {package}: `{licence}` is not allowed")
    names = {name for name, _, _ in packages}
    for ban in rules["bans"]["deny"]:
        ban = ban if isinstance(ban, dict) else {"crate": ban}
        if ban["crate"] in names:
            asking, allowed = parents(ban["crate"], targets), set(ban.get("wrappers", []))
            if asking - allowed or "wrappers" not in ban:
                wrong.append(f"ban: {ban['crate']} is asked for by {', '.join(sorted(asking - allowed))}")
            for unused in sorted(allowed - asking):
                wrong.append(f"ban: {unused} may ask for {ban['crate']} and does not: take it off the list")
    lock = tomllib.loads((ROOT / "Cargo.lock").read_text())
    for package in lock["package"]:
        if package.get("source", REGISTRY) != REGISTRY:
            wrong.append(f"source: {package['name']} comes from {package['source']}")
    print("\n".join(wrong + [f"{len(names)} packages of {len(targets)} targets, {len(wrong)} against deny.toml"]))
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
