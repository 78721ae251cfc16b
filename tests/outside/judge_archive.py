"""Archives by Python's zipfile, and files that are the same again when they are made again."""

import zipfile


def judge_archive(ledger, where, archive, folder):
    """Every member is whole, and names and bytes are those of the folder."""
    with zipfile.ZipFile(archive) as packed:
        ledger.same("zip: every member is whole", packed.testzip(), None, where)
        names = sorted(packed.namelist())
        ledger.same("zip: members are the folder's files", names, sorted(path.name for path in folder.iterdir()), where)
        for name in names:
            ledger.holds("zip: bytes are the folder's", (folder / name).is_file() and packed.read(name) == (folder / name).read_bytes(), f"{where} {name}")


def judge_again(ledger, where, folder, again):
    """The same work gives the same bytes."""
    names = sorted(path.name for path in folder.iterdir())
    ledger.same("again: the same files", sorted(path.name for path in again.iterdir()), names, where)
    for name in names:
        other = again / name
        ledger.holds(f"again: the same bytes of {name.rsplit('.', 1)[-1]}", other.is_file() and other.read_bytes() == (folder / name).read_bytes(), f"{where} {name}")
