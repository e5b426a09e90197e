//! Settings of the PNG encoder by time and size, and those that layfig takes.

use layfig::build::{Framing, Pages, draw_sheets, lay_out_sheets, rehearse, run as run_jobs};
use layfig::cast::SheetKind;
use layfig::draw::draw;
use layfig::draw::{Effort, png as encode};
use png::{DeflateCompression, Filter};
use tiny_skia::Pixmap;

use crate::clock::{middle, timed};
use crate::show::{Show, folder};
use crate::table::{Table, short};

/// Prints the tables.
pub fn run(rounds: usize) {
    let show = Show::deckhand(96);
    let jobs: Vec<_> = show.jobs().into_iter().step_by(12).collect();
    let pictures: Vec<Pixmap> = run_jobs(
        &jobs,
        1,
        |job, scratch| {
            let puppet = &show.puppets[job.model];
            let figure = puppet.figure(job.pose).expect("the pose solves");
            let viewport = Framing::Size(1024, 1024).viewport(puppet.member().canvas);
            Ok(draw(&figure, &viewport, None, false, scratch)?.pixels)
        },
        |_| (),
    )
    .into_iter()
    .map(|made| made.expect("a picture"))
    .collect();
    settings(
        &format!(
            "PNG of pose pictures: {} pictures of 1024 px with alpha",
            pictures.len()
        ),
        &pictures,
        false,
        Effort::Quick,
        rounds,
    );
    settings(
        "PNG of a sheet's page",
        &[page(&show)],
        true,
        Effort::Small,
        1,
    );
}

/// The first page of a sheet.
fn page(show: &Show) -> Pixmap {
    let work = folder();
    let all = show.jobs();
    let rehearsal = rehearse(&show.puppets, &all, 1, true);
    let groups = show.plan.sheets(&[SheetKind::Pose], false);
    let (plan, pages) = ((&show.plan, &groups[..]), Pages::default());
    let laid = lay_out_sheets(plan, &show.puppets, &rehearsal, "", work.path(), &pages);
    let sheets = laid.expect("cells fit").sheets;
    let drawn = draw_sheets(&show.puppets, &sheets, &all, 2, |_| ());
    assert!(drawn.iter().all(Result::is_ok));
    Pixmap::load_png(&sheets[0].files[0]).expect("a page")
}

fn settings(title: &str, pictures: &[Pixmap], opaque: bool, taken: Effort, rounds: usize) {
    use DeflateCompression::{FdeflateUltraFast as Ultra, Level};
    let deflates = [
        ("fdeflate", Ultra),
        ("deflate 1", Level(1)),
        ("deflate 4", Level(4)),
        ("deflate 6", Level(6)),
        ("deflate 9", Level(9)),
    ];
    let filters = [
        ("none", Filter::NoFilter),
        ("sub", Filter::Sub),
        ("up", Filter::Up),
        ("paeth", Filter::Paeth),
        ("adaptive", Filter::Adaptive),
    ];
    let straight: Vec<Vec<u8>> = pictures.iter().map(|p| bytes(p, opaque)).collect();
    let count = pictures.len() as f64;
    let mut table = Table::new(&["deflate", "filter", "ms to encode", "ms to decode", "kB"]);
    let mut row = |deflate: &str, filter: &str, call: &dyn Fn(usize) -> Vec<u8>| {
        let (mut encode, mut decode, mut size) = (Vec::new(), Vec::new(), 0);
        for _ in 0..rounds {
            let (time, files) = timed(|| (0..pictures.len()).map(call).collect::<Vec<_>>());
            encode.push(time / count);
            size = files.iter().map(Vec::len).sum();
            let (time, ()) = timed(|| files.iter().for_each(|file| decoded(file)));
            decode.push(time / count);
        }
        table.row([
            deflate.to_owned(),
            filter.to_owned(),
            short(middle(encode)),
            short(middle(decode)),
            short(size as f64 / count / 1024.0),
        ]);
    };
    for (deflate, compression) in deflates {
        for (filter, how) in filters {
            row(deflate, filter, &|i| {
                encoded(&pictures[i], &straight[i], opaque, compression, how)
            });
        }
    }
    row("**layfig**", "from premultiplied", &|i| {
        encode(pictures[i].as_ref(), opaque, taken).expect("a picture is encoded")
    });
    table.print(title);
}

fn encoded(
    picture: &Pixmap,
    data: &[u8],
    opaque: bool,
    compression: DeflateCompression,
    filter: Filter,
) -> Vec<u8> {
    let mut out = Vec::new();
    let mut encoder = png::Encoder::new(&mut out, picture.width(), picture.height());
    encoder.set_color(if opaque {
        png::ColorType::Rgb
    } else {
        png::ColorType::Rgba
    });
    encoder.set_depth(png::BitDepth::Eight);
    encoder.set_deflate_compression(compression);
    encoder.set_filter(filter);
    let mut writer = encoder.write_header().expect("a header");
    writer.write_image_data(data).expect("pixels are encoded");
    writer.finish().expect("an end");
    out
}

fn decoded(file: &[u8]) {
    let mut reader = png::Decoder::new(std::io::Cursor::new(file))
        .read_info()
        .expect("a picture");
    let mut out = vec![0; reader.output_buffer_size().expect("a size")];
    reader.next_frame(&mut out).expect("pixels");
    std::hint::black_box(out);
}

/// As the format wants them: straight alpha or none.
fn bytes(picture: &Pixmap, opaque: bool) -> Vec<u8> {
    let mut out = Vec::new();
    for p in picture.pixels() {
        let c = p.demultiply();
        out.extend([c.red(), c.green(), c.blue()]);
        if !opaque {
            out.push(c.alpha());
        }
    }
    out
}
