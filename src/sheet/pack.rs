//! One long PDF from short ones, written piece by piece: what is held does not grow with its pages.

use std::io::{self, Write};
use std::ops::Range;

use flate2::Compression;
use flate2::write::ZlibEncoder;
use pdf_writer::{Chunk, Finish as _, Name, Ref, TextStr};

use super::tidy::tidied;

/// An entry of the outline.
#[derive(Clone, Debug)]
pub(super) struct Mark {
    /// What it says.
    pub name: String,
    /// Page, from 0.
    pub page: usize,
    /// Height on the page, 1/72 inch from below.
    pub y: f32,
    /// Below it.
    pub inner: Vec<Mark>,
}

/// A PDF that is being written.
pub(super) struct Pack<W: Write> {
    out: W,
    written: usize,
    /// Where each object is, by number, from 1; `None` for one that is still to come.
    objects: Vec<Option<usize>>,
    pages: Vec<Ref>,
    digest: blake3::Hasher,
}

const PAGES: Ref = Ref::new(1);
const CATALOG: Ref = Ref::new(2);
const INFO: Ref = Ref::new(3);
const OUTLINE: Ref = Ref::new(4);

fn odd(what: &str) -> io::Error {
    io::Error::new(
        io::ErrorKind::InvalidData,
        format!("a part of a PDF has {what}"),
    )
}

impl<W: Write> Pack<W> {
    /// Begins a file.
    pub fn new(out: W) -> io::Result<Self> {
        let mut pack = Self {
            out,
            written: 0,
            objects: vec![None; 4],
            pages: Vec::new(),
            digest: blake3::Hasher::new(),
        };
        // The comment says that there are bytes which are no text (ISO 32000-1, 7.5.2).
        pack.put(b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n")?;
        Ok(pack)
    }

    /// How many pages there are.
    pub fn pages(&self) -> usize {
        self.pages.len()
    }

    fn put(&mut self, bytes: &[u8]) -> io::Result<()> {
        self.written += bytes.len();
        self.digest.update(bytes);
        self.out.write_all(bytes)
    }

    fn fresh(&mut self) -> Ref {
        self.objects.push(None);
        Ref::new(i32::try_from(self.objects.len()).unwrap_or(i32::MAX))
    }

    fn begin(&mut self, id: Ref) {
        let at = usize::try_from(id.get()).unwrap_or(1) - 1;
        self.objects[at] = Some(self.written);
    }

    fn object(&mut self, id: Ref, write: impl FnOnce(&mut Chunk)) -> io::Result<()> {
        let mut chunk = Chunk::new();
        write(&mut chunk);
        self.begin(id);
        self.put(chunk.as_bytes())
    }

    /// Adds pages, with all that they need.
    pub fn add(&mut self, parcel: &Parcel) -> io::Result<()> {
        let mut numbers: Vec<Option<Ref>> = vec![None; parcel.most + 1];
        numbers[parcel.tree] = Some(PAGES);
        for object in &parcel.objects {
            numbers[object.number] = Some(self.fresh());
        }
        let new = |old: usize| {
            let new = numbers.get(old).copied().flatten();
            new.ok_or_else(|| odd("a reference to nothing"))
        };
        for &page in &parcel.pages {
            self.pages.push(new(page)?);
        }
        for object in &parcel.objects {
            let id = new(object.number)?;
            self.begin(id);
            self.put(format!("{} 0 obj\n", id.get()).as_bytes())?;
            self.put(&renumbered(&object.dict, &new)?)?;
            if let Some(stream) = &object.stream {
                self.put(b"\nstream\n")?;
                self.put(stream)?;
                self.put(b"\nendstream")?;
            }
            self.put(b"\nendobj\n")?;
        }
        Ok(())
    }

    /// Ends the file.
    pub fn finish(mut self, title: &str, creator: &str, marks: &[Mark]) -> io::Result<W> {
        let pages = std::mem::take(&mut self.pages);
        let count = i32::try_from(pages.len()).unwrap_or(i32::MAX);
        self.object(PAGES, |chunk| {
            chunk.pages(PAGES).count(count).kids(pages.iter().copied());
        })?;
        self.object(INFO, |chunk| {
            let mut info = chunk.indirect(INFO).dict();
            info.pair(Name(b"Title"), TextStr(title));
            info.pair(Name(b"Creator"), TextStr(creator));
        })?;
        let (first, last) = self.outline(marks, OUTLINE, &pages)?;
        self.object(OUTLINE, |chunk| {
            let mut outline = chunk.outline(OUTLINE);
            if let (Some(first), Some(last)) = (first, last) {
                let all = marks.iter().map(|mark| 1 + mark.inner.len()).sum();
                outline.first(first).last(last).count(all_of(all));
            }
        })?;
        self.object(CATALOG, |chunk| {
            let mut catalog = chunk.indirect(CATALOG).dict();
            catalog.pair(Name(b"Type"), Name(b"Catalog"));
            catalog.pair(Name(b"Pages"), PAGES);
            catalog.pair(Name(b"Outlines"), OUTLINE);
        })?;
        let id = self.digest.finalize().to_hex();
        let id = &id.as_str()[..32];
        let start = self.written;
        let mut table = format!("xref\n0 {}\n0000000000 65535 f\r\n", self.objects.len() + 1);
        for place in &self.objects {
            let place = place.ok_or_else(|| odd("an object without a place"))?;
            table += &format!("{place:010} 00000 n\r\n");
        }
        table += &format!(
            "trailer\n<</Size {}/Root {} 0 R/Info {} 0 R/ID[<{id}><{id}>]>>\nstartxref\n{start}\n%%EOF\n",
            self.objects.len() + 1,
            CATALOG.get(),
            INFO.get(),
        );
        self.put(table.as_bytes())?;
        self.out.flush()?;
        Ok(self.out)
    }

    /// Writes entries of the outline; gives the first and the last.
    fn outline(
        &mut self,
        marks: &[Mark],
        parent: Ref,
        pages: &[Ref],
    ) -> io::Result<(Option<Ref>, Option<Ref>)> {
        let ids: Vec<Ref> = marks.iter().map(|_| self.fresh()).collect();
        for (at, mark) in marks.iter().enumerate() {
            let id = ids[at];
            let (first, last) = self.outline(&mark.inner, id, pages)?;
            self.object(id, |chunk| {
                let mut item = chunk.outline_item(id);
                item.title(TextStr(&mark.name)).parent(parent);
                if let Some(before) = at.checked_sub(1) {
                    item.prev(ids[before]);
                }
                if let Some(&next) = ids.get(at + 1) {
                    item.next(next);
                }
                if let (Some(first), Some(last)) = (first, last) {
                    item.first(first).last(last).count(all_of(mark.inner.len()));
                }
                if let Some(&page) = pages.get(mark.page) {
                    item.dest().page(page).xyz(0.0, mark.y, None);
                }
                item.finish();
            })?;
        }
        Ok((ids.first().copied(), ids.last().copied()))
    }
}

fn all_of(count: usize) -> i32 {
    i32::try_from(count).unwrap_or(i32::MAX)
}

fn packed(bytes: &[u8]) -> io::Result<Vec<u8>> {
    let mut out = ZlibEncoder::new(Vec::new(), Compression::new(6));
    out.write_all(bytes)?;
    out.finish()
}

/// Pages ready to be added: drawings with no more digits than are seen, and compressed.
pub(super) struct Parcel {
    objects: Vec<Object>,
    /// The greatest number of an object.
    most: usize,
    tree: usize,
    pages: Vec<usize>,
}

struct Object {
    number: usize,
    dict: Vec<u8>,
    stream: Option<Vec<u8>>,
}

impl Parcel {
    /// The pages of a PDF.
    pub fn new(pdf: &[u8]) -> io::Result<Self> {
        let piece = Piece::read(pdf)?;
        let left_out = [piece.catalog, piece.info, piece.tree];
        let mut drawings = Vec::new();
        for &page in &piece.pages {
            drawings.extend(reference(piece.object(page)?.0, b"/Contents"));
        }
        let mut objects = Vec::new();
        for number in (1..=piece.objects.len()).filter(|n| !left_out.contains(n)) {
            let (dict, stream) = piece.object(number)?;
            let drawing = drawings.contains(&number) || has(dict, b"/Subtype/Form");
            let stream = match stream {
                Some(stream) if has(dict, b"/Filter") => Some(stream.to_vec()),
                Some(stream) if drawing => Some(packed(&tidied(stream))?),
                Some(stream) => Some(packed(stream)?),
                None => None,
            };
            let dict = match &stream {
                Some(stream) => relengthened(dict, stream.len())?,
                None => dict.to_vec(),
            };
            objects.push(Object {
                number,
                dict,
                stream,
            });
        }
        Ok(Self {
            objects,
            most: piece.objects.len(),
            tree: piece.tree,
            pages: piece.pages,
        })
    }
}

/// A whole PDF with a plain table of places, taken apart.
struct Piece<'a> {
    bytes: &'a [u8],
    /// Where each object begins, from number 1; and where the table does.
    objects: Vec<usize>,
    end: usize,
    catalog: usize,
    info: usize,
    tree: usize,
    pages: Vec<usize>,
}

impl<'a> Piece<'a> {
    fn read(bytes: &'a [u8]) -> io::Result<Self> {
        let from = rfind(bytes, b"startxref").ok_or_else(|| odd("no end"))?;
        let (start, _) = number(bytes, from + 9).ok_or_else(|| odd("no table"))?;
        let table = bytes.get(start..).ok_or_else(|| odd("no table"))?;
        if !table.starts_with(b"xref") {
            return Err(odd("another kind of table"));
        }
        let (_, at) = number(table, 4).ok_or_else(|| odd("no table"))?;
        let (count, mut at) = number(table, at).ok_or_else(|| odd("no table"))?;
        let mut objects = Vec::with_capacity(count);
        for entry in 0..count {
            let (place, next) = number(table, at).ok_or_else(|| odd("a short table"))?;
            let (_, next) = number(table, next).ok_or_else(|| odd("a short table"))?;
            // The letter after the two numbers.
            at = next + 2;
            if entry > 0 {
                objects.push(place);
            }
        }
        let trailer = table.get(at..).ok_or_else(|| odd("no trailer"))?;
        let mut piece = Self {
            bytes,
            objects,
            end: start,
            catalog: reference(trailer, b"/Root").ok_or_else(|| odd("no catalog"))?,
            info: reference(trailer, b"/Info").unwrap_or(0),
            tree: 0,
            pages: Vec::new(),
        };
        let (catalog, _) = piece.object(piece.catalog)?;
        piece.tree = reference(catalog, b"/Pages").ok_or_else(|| odd("no pages"))?;
        let (tree, _) = piece.object(piece.tree)?;
        piece.pages = references(tree).into_iter().map(|(_, page)| page).collect();
        Ok(piece)
    }

    /// The dictionary (or what else it is) of an object, and its stream.
    fn object(&self, number: usize) -> io::Result<(&'a [u8], Option<&'a [u8]>)> {
        let lost = || odd("an object that is not there");
        let start = *number
            .checked_sub(1)
            .and_then(|at| self.objects.get(at))
            .ok_or_else(lost)?;
        let ends = self.objects.iter().copied().filter(|&at| at > start);
        let end = ends.min().unwrap_or(self.end).min(self.end);
        let object = self.bytes.get(start..end).ok_or_else(lost)?;
        let open = find(object, b" obj").ok_or_else(lost)? + 4;
        let close = rfind(object, b"endobj").ok_or_else(lost)?;
        let body = object.get(open..close).ok_or_else(lost)?.trim_ascii();
        let Some(at) = find(body, b">>\nstream\n") else {
            return Ok((body, None));
        };
        let tail = rfind(body, b"endstream").ok_or_else(lost)?;
        let stream = body.get(at + 10..tail).ok_or_else(lost)?;
        let (length, _) = value(body, b"/Length").ok_or_else(|| odd("a stream without length"))?;
        let stream = stream.get(..length).ok_or_else(|| odd("a short stream"))?;
        Ok((&body[..at + 2], Some(stream)))
    }
}

fn find(bytes: &[u8], what: &[u8]) -> Option<usize> {
    bytes.windows(what.len()).position(|w| w == what)
}

fn rfind(bytes: &[u8], what: &[u8]) -> Option<usize> {
    bytes.windows(what.len()).rposition(|w| w == what)
}

fn has(dict: &[u8], key: &[u8]) -> bool {
    find(dict, key).is_some()
}

/// A whole number after white space, and where it ends.
fn number(bytes: &[u8], from: usize) -> Option<(usize, usize)> {
    let rest = bytes.get(from..)?;
    let blank = rest.iter().take_while(|b| b.is_ascii_whitespace()).count();
    let digits = rest[blank..]
        .iter()
        .take_while(|b| b.is_ascii_digit())
        .count();
    let text = std::str::from_utf8(&rest[blank..blank + digits]).ok()?;
    Some((text.parse().ok()?, from + blank + digits))
}

/// The whole number of a key, and where it stands.
fn value(dict: &[u8], key: &[u8]) -> Option<(usize, Range<usize>)> {
    let at = find(dict, key)? + key.len();
    let (found, end) = number(dict, at)?;
    Some((found, at..end))
}

/// The object that a key refers to.
fn reference(dict: &[u8], key: &[u8]) -> Option<usize> {
    value(dict, key).map(|(found, _)| found)
}

/// All `12 0 R` outside of texts: where the number is, and the number.
fn references(dict: &[u8]) -> Vec<(Range<usize>, usize)> {
    let mut found = Vec::new();
    let mut at = 0;
    let mut deep = 0;
    while let Some(&byte) = dict.get(at) {
        match byte {
            b'\\' if deep > 0 => at += 1,
            b'(' => deep += 1,
            b')' => deep -= 1,
            b'0'..=b'9' if deep == 0 => {
                let token = |b: &&u8| !b.is_ascii_whitespace() && !b"/[]<>()".contains(b);
                let length = dict[at..].iter().take_while(token).count();
                let end = at + length;
                let inside = at > 0 && token(&&dict[at - 1]);
                if let Some((of, next)) = number(dict, at)
                    && !inside
                    && next == end
                    && dict[end..].starts_with(b" 0 R")
                {
                    found.push((at..end, of));
                }
                at = end.max(at + 1);
                continue;
            }
            // A name: digits in it are its own.
            b'/' => {
                let token = |b: &&u8| !b.is_ascii_whitespace() && !b"/[]<>()".contains(b);
                at += 1 + dict[at + 1..].iter().take_while(token).count();
                continue;
            }
            _ => {}
        }
        at += 1;
    }
    found
}

fn renumbered(dict: &[u8], new: &dyn Fn(usize) -> io::Result<Ref>) -> io::Result<Vec<u8>> {
    let mut out = Vec::with_capacity(dict.len() + 16);
    let mut last = 0;
    for (place, of) in references(dict) {
        out.extend_from_slice(&dict[last..place.start]);
        out.extend_from_slice(new(of)?.get().to_string().as_bytes());
        last = place.end;
    }
    out.extend_from_slice(&dict[last..]);
    Ok(out)
}

/// The dictionary of a stream that has been packed anew.
fn relengthened(dict: &[u8], length: usize) -> io::Result<Vec<u8>> {
    let (_, place) = value(dict, b"/Length").ok_or_else(|| odd("a stream without length"))?;
    let mut out = dict[..place.start].to_vec();
    out.extend_from_slice(format!(" {length}").as_bytes());
    if !has(dict, b"/Filter") {
        out.extend_from_slice(b"/Filter/FlateDecode");
    }
    out.extend_from_slice(&dict[place.end..]);
    Ok(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn references_are_found_outside_of_texts_and_names() {
        let dict =
            br"<</A 12 0 R/B[3 0 R 4 0 R]/C(5 0 R \) 6 0 R)/D1 7/E0 8 0 R/F 1.5/G 2 0/H 90 0 R>>";
        let found: Vec<usize> = references(dict).into_iter().map(|(_, n)| n).collect();
        assert_eq!(found, [12, 3, 4, 8, 90]);
        let up = |old| Ok(Ref::new(i32::try_from(old).unwrap() + 100));
        let out = String::from_utf8(renumbered(dict, &up).unwrap()).unwrap();
        assert_eq!(
            out,
            r"<</A 112 0 R/B[103 0 R 104 0 R]/C(5 0 R \) 6 0 R)/D1 7/E0 108 0 R/F 1.5/G 2 0/H 190 0 R>>"
        );
    }

    #[test]
    fn a_stream_gets_its_new_length_and_filter() {
        let out = |dict: &[u8]| String::from_utf8(relengthened(dict, 7).unwrap()).unwrap();
        assert_eq!(
            out(b"<</Length 123/X 1>>"),
            "<</Length 7/Filter/FlateDecode/X 1>>"
        );
        assert_eq!(out(b"<</Filter/A/Length 1>>"), "<</Filter/A/Length 7>>");
    }

    #[test]
    fn what_is_no_pdf_is_an_error() {
        for bytes in [
            &b""[..],
            b"startxref",
            b"startxref\n99999\n",
            b"xref\n0 1\nstartxref\n0\n",
        ] {
            assert!(Piece::read(bytes).is_err());
        }
    }
}
