"""Mutations of packages (zip members, XML) and of folders of CSV files."""

import io
import os
import struct
import zipfile

from fuzz_books import HEAD, MAIN, csv_texts, packed, parts_of


def _which(rng, parts):
    return rng.randrange(len(parts))


def dropped(rng, parts):
    del parts[_which(rng, parts)]


def doubled(rng, parts):
    name, data = parts[_which(rng, parts)]
    parts.append((rng.choice([name, name.upper(), f"./{name}", name.replace("/", "\\")]), data))


def renamed(rng, parts):
    at = _which(rng, parts)
    name, data = parts[at]
    new = rng.choice(
        [name[:-1], name.upper(), f"/{name}", f"../{name}", f"xl/../{name}", "x" * 300, f"{name}\0y", "é.xml"]
    )
    parts[at] = (new, data)


def cut(rng, parts):
    at = _which(rng, parts)
    name, data = parts[at]
    parts[at] = (name, data[: rng.randrange(len(data) + 1)])


def swapped(rng, parts):
    one, two = _which(rng, parts), _which(rng, parts)
    (a, x), (b, y) = parts[one], parts[two]
    parts[one], parts[two] = (a, y), (b, x)


def bytes_changed(rng, parts):
    at = _which(rng, parts)
    name, data = parts[at]
    own = bytearray(data)
    for _ in range(rng.choice([1, 3, 30])):
        if own:
            own[rng.randrange(len(own))] = rng.randrange(256)
    parts[at] = (name, bytes(own))


def tags_changed(rng, parts):
    """A piece of XML taken out, doubled or put elsewhere."""
    at = _which(rng, parts)
    name, data = parts[at]
    pieces = data.split(b"<")
    one = rng.randrange(len(pieces))
    kind = rng.randrange(4)
    if kind == 0:
        del pieces[one]
    elif kind == 1:
        pieces.insert(one, pieces[rng.randrange(len(pieces))])
    elif kind == 2:
        pieces[one] = pieces[one].replace(b'"', b"'", 1).replace(b"=", b" = ", 1)
    else:
        pieces[one:one] = [b"x/>"] * rng.choice([1, 1000])
    parts[at] = (name, b"<".join(pieces))


def attribute_changed(rng, parts):
    at = _which(rng, parts)
    name, data = parts[at]
    pieces = data.split(b'"')
    if len(pieces) > 3:
        one = 2 * rng.randrange((len(pieces) - 1) // 2) + 1
        pieces[one] = rng.choice(
            [b"", b"0", b"-1", b"x", b"99999999999", b"1e9", b"\xff", b"../x", b"http://example.invalid/"]
        )
    parts[at] = (name, b'"'.join(pieces))


def declared(rng, parts):
    """A document type, an entity, an encoding."""
    at = _which(rng, parts)
    name, data = parts[at]
    body = data.split(b"?>", 1)[-1]
    bomb = b"<!DOCTYPE a [<!ENTITY b 'bb'><!ENTITY c '&b;&b;&b;'>]>"
    text = data.decode("utf-8", "replace")
    parts[at] = (name, rng.choice([
        bomb + body, b"<?xml version='1.0'?>" + bomb + body, b"<!DOCTYPE a SYSTEM 'file:///etc/hostname'>" + body,
        b" " * 300 + bomb + body, text.encode("utf-16"), text.encode("utf-16-be"), b"\xef\xbb\xbf" + data,
        b"<?xml version='1.0' encoding='utf-7'?>" + body, b"<?xml version='1.0' encoding='cp037'?>" + body,
        b"<?xml version='1.1'?>" + body, b"<?xml version='1.0' encoding='latin-1'?>" + body, text.encode("utf-32"),
        b"<?xml-stylesheet href='http://example.invalid'?>" + body, b"<![CDATA[" + body,
    ]))  # fmt: skip


def deep(rng, parts):
    at = _which(rng, parts)
    name, data = parts[at]
    count = rng.choice([100, 20_000])
    parts[at] = (name, data.replace(b"</", b"<x>" * count + b"</x>" * count + b"</", 1))


def many_strings(rng, parts):
    count = rng.choice([10, 50_000])
    text = f'{HEAD}<sst xmlns="{MAIN}">{"<si><t>a</t></si>" * count}</sst>'
    parts.append(("xl/sharedStrings.xml", text.encode()))


def big_part(rng, parts):
    """What shrinks well: an attribute, a text, elements, of some megabytes."""
    at = _which(rng, parts)
    name, data = parts[at]
    filler = rng.choice([b"<!--" + b"x" * 10**7 + b"-->", b" " * 10**7, b"<xf/>" * 10**6, b"<row/>" * 10**6])
    parts[at] = (name, data.replace(b"</", filler + b"</", 1))


def many_parts(rng, parts):
    parts.extend((f"x/{number}.xml", b"<x/>") for number in range(rng.choice([50, 5200])))


def macros(rng, parts):
    parts.append(("xl/vbaProject.bin", b"\xd0\xcf\x11\xe0" + rng.randbytes(200)))


PART_MUTATIONS = [dropped, doubled, renamed, cut, swapped, bytes_changed, bytes_changed, tags_changed, tags_changed,
                  attribute_changed, attribute_changed, declared, declared, deep, many_strings, big_part, many_parts,
                  macros]  # fmt: skip


def zip_damage(rng, data):
    """A package's bytes, damaged: cut, changed, with something before or behind, with lying heads."""
    own = bytearray(data)
    kind = rng.randrange(7)
    if kind == 0:
        return bytes(own[: rng.randrange(len(own))])
    if kind == 1:
        for _ in range(rng.choice([1, 5, 50])):
            own[rng.randrange(len(own))] = rng.randrange(256)
        return bytes(own)
    if kind == 2:
        return rng.randbytes(rng.choice([1, 100, 10_000])) + data
    if kind == 3:
        return data + rng.randbytes(rng.choice([1, 100, 70_000]))
    if kind == 4:
        return _lying(rng, own)
    if kind == 5:
        return data.replace(b"PK\x05\x06", b"PK\x06\x06")
    return _as_packed(rng, data)


def _lying(rng, own):
    """Change a figure of a member in the directory: method, flags, sizes, offset."""
    at = -1
    for _ in range(rng.randrange(1, 6)):
        at = own.find(b"PK\x01\x02", at + 1)
    field, size = rng.choice(
        [(8, "<H"), (10, "<H"), (20, "<I"), (24, "<I"), (28, "<H"), (30, "<H"), (42, "<I"), (6, "<H")]
    )
    if at >= 0:
        struct.pack_into(size, own, at + field, rng.choice([0, 1, 8, 12, 14, 99, 0xFFFF, 0x7FFF]))
    return bytes(own)


def _as_packed(rng, data):
    method = rng.choice([zipfile.ZIP_STORED, zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA])
    stream = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(stream, "w", method) as new:
        for entry in old.infolist():
            new.writestr(entry.filename, old.read(entry))
    return stream.getvalue()


def write_book(rng, book, path, *, in_parts, in_bytes):
    """Write a workbook, with damage to its parts and to its bytes as asked; return what was done."""
    parts, done = parts_of(book), []
    for _ in range(in_parts):
        mutation = rng.choice(PART_MUTATIONS)
        if parts:
            mutation(rng, parts)
            done.append(mutation.__name__)
    data = packed(parts)
    if in_bytes:
        data = zip_damage(rng, data)
        done.append("zip_damage")
    path.write_bytes(data)
    return done


# --- folders


def _file(rng, folder):
    return rng.choice(sorted(path for path in folder.iterdir() if path.is_file()))


def encoding(rng, folder):
    path = _file(rng, folder)
    text = path.read_text() + "ü°Ω"
    path.write_bytes(
        text.encode(rng.choice(["latin-1", "utf-16", "utf-16-le", "utf-32", "cp1252", "utf-8-sig", "utf-7"]), "replace")
    )


def zero_bytes(rng, folder):
    path = _file(rng, folder)
    data = path.read_bytes()
    path.write_bytes(data[:20] + b"\0" + data[20:])


def random_bytes(rng, folder):
    path = _file(rng, folder)
    own = bytearray(path.read_bytes())
    for _ in range(rng.choice([1, 5, 50])):
        if own:
            own[rng.randrange(len(own))] = rng.randrange(256)
    path.write_bytes(bytes(own))


def delimiter(rng, folder):
    path = _file(rng, folder)
    path.write_text(path.read_text().replace(",", rng.choice([";", "\t", "|", " ", ",,", ";,"])))


def decimal_commas(rng, folder):
    path = _file(rng, folder)
    path.write_text(path.read_text().replace(",", ";").replace(".", ","))


def quotes(rng, folder):
    path = _file(rng, folder)
    text = path.read_text()
    at = rng.randrange(len(text) + 1)
    path.write_text(text[:at] + rng.choice(['"', '""', "'", '"\n', ',"', '"x"y"']) + text[at:])


def huge_line(rng, folder):
    path = _file(rng, folder)
    filler = rng.choice(["x" * 200_000, "," * 300_000, "1 " + " " * 120_000 + "x", " (" * 60_000, "🌱" * 120_000])
    text = path.read_text()
    path.write_text(rng.choice([text + filler, filler + "\n" + text, text.replace("\n", f"{filler}\n", 1)]))


def many_lines(rng, folder):
    path = _file(rng, folder)
    path.write_text(
        path.read_text() + rng.choice(["\n", "x\n", ",,,\n", "1,2,3\n", '"\n']) * rng.choice([1000, 200_000])
    )


def missing(rng, folder):
    for _ in range(rng.choice([1, 1, 3])):
        _file(rng, folder).unlink()


def extra(rng, folder):
    name = rng.choice(
        ["notes.csv", "Site.csv", "SITE.CSV", "cable.csv", "x.txt", ".hidden.csv", "a" * 200 + ".csv", "é\u0301.csv"]
    )
    (folder / name).write_text(rng.choice(["", "a,b\n1,2\n", "=1+1\n", "\ufeff"]))


def folder_as_file(rng, folder):
    path = rng.choice([folder / "notes.csv", _file(rng, folder)])
    path.unlink(missing_ok=True)
    path.mkdir()


def link(rng, folder):
    path = _file(rng, folder)
    path.unlink()
    path.symlink_to(rng.choice(["nowhere", path.name, "/dev/zero", "/dev/null", "..", "site.csv"]))


def pipe(rng, folder):
    path = rng.choice([folder / "notes.csv", _file(rng, folder)])
    path.unlink(missing_ok=True)
    os.mkfifo(path)


def unreadable(rng, folder):
    _file(rng, folder).chmod(0)


def bom_and_line_ends(rng, folder):
    """A byte order mark, other line ends, titles as names, blank lines below: the same inputs."""
    for path in sorted(folder.iterdir()):
        text = path.read_text()
        path.write_bytes(
            (
                rng.choice(["", "\ufeff"])
                + text.replace("\n", rng.choice(["\n", "\r\n"]))
                + rng.choice(["", "\n\n", ",,\n"])
            ).encode()
        )


FOLDER_MUTATIONS = [encoding, zero_bytes, random_bytes, random_bytes, delimiter, decimal_commas, quotes, quotes,
                    huge_line, many_lines, missing, extra, folder_as_file, link, pipe, unreadable]  # fmt: skip


def write_folder(rng, book, path, *, in_files):
    """Write a folder of CSV files, damaged as asked; return what was done."""
    path.mkdir()
    for name, text in csv_texts(book).items():
        (path / name).write_text(text, encoding="utf-8", newline="")
    done = []
    for _ in range(in_files):
        mutation = rng.choice(FOLDER_MUTATIONS)
        try:
            mutation(rng, path)
        except (UnicodeDecodeError, IndexError, OSError):
            continue  # an earlier one left it nothing to work on
        done.append(mutation.__name__)
    return done
