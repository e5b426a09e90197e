//! What the cost depends on: the number of poses and the drawn area, never the page around it.

use layfig::build::run as run_jobs;
use layfig::draw::{Scratch, draw_onto};
use layfig::geom::Affine;
use tiny_skia::Pixmap;

use crate::clock::{in_turn, median};
use crate::show::Show;
use crate::table::{Table, short};

/// Prints the tables.
pub fn run(rounds: usize) {
    let show = Show::deckhand(200);
    let jobs = show.jobs();
    let puppet = &show.puppets[0];
    let [_, height] = puppet.member().canvas;
    let figure = puppet.figure(jobs[0].pose).expect("the pose solves");

    let mut table = Table::new(&["page, px", "draw, ms", "of 1k page", "clear the page, ms"]);
    let pages = [1024_u32, 2048, 4096, 8192];
    let scale = 256.0 / height;
    let mut scratch = Scratch::default();
    let mut pixels: Vec<Pixmap> = pages
        .iter()
        .map(|&side| Pixmap::new(side, side).expect("a page"))
        .collect();
    for page in &mut pixels {
        // Pages that were never touched are no memory yet.
        page.fill(tiny_skia::Color::WHITE);
    }
    let mut first = 0.0;
    for page in &mut pixels {
        let side = page.width();
        let middle = f64::from(side / 2) - 128.0;
        let to_pixels = Affine::translate([middle, middle]).after(Affine::scale([scale, scale]));
        let time = median(500.0, || {
            draw_onto(&figure, to_pixels, &mut page.as_mut(), &mut scratch).expect("it is drawn");
        });
        let clear = median(200.0, || page.data_mut().fill(255));
        if first == 0.0 {
            first = time;
        }
        table.row([
            side.to_string(),
            short(time),
            format!("{:.2}", time / first),
            short(clear),
        ]);
    }
    table.print("Area: one figure 256 px high in the middle of a page");
    drop(pixels);

    let mut table = Table::new(&["figure, px high", "draw, ms", "ns a canvas pixel"]);
    for side in [128_u32, 256, 512, 1024, 2048, 4096] {
        let scale = f64::from(side) / height;
        let [width, _] = puppet.member().canvas;
        let mut page = Pixmap::new((width * scale).ceil() as u32, side).expect("a page");
        page.fill(tiny_skia::Color::WHITE);
        let time = median(300.0, || {
            draw_onto(
                &figure,
                Affine::scale([scale, scale]),
                &mut page.as_mut(),
                &mut scratch,
            )
            .expect("it is drawn");
        });
        let pixels = f64::from(page.width()) * f64::from(page.height());
        table.row([side.to_string(), short(time), short(time * 1e6 / pixels)]);
    }
    table.print("Drawn area: the same figure at other sizes");

    let mut table = Table::new(&["poses", "solve and draw, ms", "ms a pose"]);
    let counts = [50, 100, 200];
    let draw = |count: usize| {
        let scale = 512.0 / height;
        let drawn = run_jobs(
            // The same poses again: what differs is their number alone.
            &(0..count).map(|i| &jobs[i % 50]).collect::<Vec<_>>(),
            1,
            |job, scratch| {
                let figure = puppet.figure(job.pose).expect("the pose solves");
                let mut page = Pixmap::new(384, 512).expect("a picture");
                draw_onto(
                    &figure,
                    Affine::scale([scale, scale]),
                    &mut page.as_mut(),
                    scratch,
                )?;
                Ok(())
            },
            |_| (),
        );
        assert!(drawn.iter().all(Result::is_ok));
    };
    let times = in_turn(
        rounds,
        &mut [
            &mut || draw(counts[0]),
            &mut || draw(counts[1]),
            &mut || draw(counts[2]),
        ],
    );
    for (count, time) in counts.into_iter().zip(times) {
        table.row([
            count.to_string(),
            short(time),
            short(time / f64::from(count as u32)),
        ]);
    }
    table.print("Poses: 512 px high, one thread");
}
