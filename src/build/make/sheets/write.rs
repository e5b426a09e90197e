//! Pages into files, one at a time.

use std::io::BufWriter;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Mutex, PoisonError};

use indexmap::IndexMap;
use rayon::prelude::*;

use super::PlannedSheet;
use crate::build::make::pictures::{encoded, save};
use crate::build::plan::Job;
use crate::build::run::{Event, Failure, Scratches, guarded, with_threads};
use crate::draw;
use crate::draw::{Effort, png};
use crate::files::write_pieces;
use crate::sheet::{Document, pdf, raster};
use crate::solve::Puppet;

/// Pages that may wait for the encoder while the next is drawn.
const PAGES_WAITING: usize = 2;

/// Draws every page into its file. The events are of the jobs, as their cells are drawn; the
/// results are of the pages, in order. Whatever the number of pages, only a few are held at a time.
pub fn draw_sheets(
    puppets: &[Puppet],
    sheets: &[PlannedSheet],
    jobs: &[Job<'_>],
    threads: usize,
    watch: impl FnMut(Event),
) -> Vec<Result<(), Failure>> {
    let pages: Vec<(&PlannedSheet, usize)> = sheets
        .iter()
        .flat_map(|s| (0..s.document.pages.len()).map(move |p| (s, p)))
        .collect();
    let results: Vec<Mutex<Result<(), Failure>>> = pages
        .iter()
        .map(|_| Mutex::new(Err(Failure::Fault("the page was not made".into()))))
        .collect();
    let scratches = Scratches::default();
    // A thread that is alone would only keep pages that it has to encode itself.
    let most_waiting = if threads > 1 { PAGES_WAITING } else { 0 };
    let work = |send: &(dyn Fn(Event) + Sync)| {
        let waiting = AtomicUsize::new(0);
        rayon::scope(|scope| {
            for (at, &(sheet, page)) in pages.iter().enumerate() {
                let drawn = guarded(|| Ok(draw_page(puppets, sheet, page, jobs, &scratches, send)));
                let (results, waiting) = (&results, &waiting);
                let finish = move || {
                    let result = drawn.and_then(|pixels| {
                        let bytes = encoded(png(pixels.as_ref(), true, Effort::Small))?;
                        drop(pixels);
                        save(&sheet.files[page], &bytes)
                    });
                    *results[at].lock().unwrap_or_else(PoisonError::into_inner) = result;
                };
                if waiting.fetch_add(1, Ordering::AcqRel) < most_waiting {
                    scope.spawn(move |_| {
                        finish();
                        waiting.fetch_sub(1, Ordering::AcqRel);
                    });
                } else {
                    finish();
                    waiting.fetch_sub(1, Ordering::AcqRel);
                }
            }
        });
    };
    with_threads(threads, work, watch);
    results
        .into_iter()
        .map(|r| r.into_inner().unwrap_or_else(PoisonError::into_inner))
        .collect()
}

/// Writes each PDF of the sheets: those of one member's view together. The results are in the order
/// of the files. However many pages a PDF has, only a few are held at a time.
pub fn write_packs(
    puppets: &[Puppet],
    sheets: &[PlannedSheet],
    jobs: &[Job<'_>],
    threads: usize,
    watch: impl FnMut(Event),
) -> Vec<(PathBuf, Result<(), Failure>)> {
    let mut packs: IndexMap<&Path, Vec<&PlannedSheet>> = IndexMap::new();
    for sheet in sheets {
        packs.entry(&sheet.pack).or_default().push(sheet);
    }
    let packs: Vec<(&Path, Vec<&PlannedSheet>)> = packs.into_iter().collect();
    let work = |send: &(dyn Fn(Event) + Sync)| -> Vec<Result<(), Failure>> {
        let write = |(file, sheets): &(&Path, Vec<&PlannedSheet>)| {
            let documents: Vec<&Document> = sheets.iter().map(|s| &s.document).collect();
            guarded(|| {
                let solve = |at: usize| {
                    let job: &Job<'_> = &jobs[at];
                    send(Event::Started(at));
                    let solved =
                        guarded(|| puppets[job.model].figure(job.pose).map_err(Failure::Input));
                    send(match &solved {
                        Ok(_) => Event::Done(at),
                        Err(failure) => Event::Failed(at, failure.clone()),
                    });
                    solved.map_err(|failure| failure.to_string())
                };
                let title = &sheets[0].pack_title;
                write_pieces(file, |out| {
                    pdf::write(title, &documents, &solve, BufWriter::new(out))
                })
                .map_err(|why| match why {
                    pdf::PdfError::Written(why) => Failure::write(*file, why),
                    made @ pdf::PdfError::Made(_) => Failure::Fault(made.to_string()),
                })
            })
        };
        packs.par_iter().with_max_len(1).map(write).collect()
    };
    let results = with_threads(threads, work, watch);
    let files = packs.iter().map(|(file, _)| file.to_path_buf());
    files.zip(results).collect()
}

fn draw_page(
    puppets: &[Puppet],
    sheet: &PlannedSheet,
    page: usize,
    jobs: &[Job<'_>],
    scratches: &Scratches,
    send: &(dyn Fn(Event) + Sync),
) -> tiny_skia::Pixmap {
    let page = &sheet.document.pages[page];
    raster::draw(page, &|at, to_pixels, pixels| {
        let job = &jobs[at];
        send(Event::Started(at));
        let drawn = guarded(|| {
            let figure = puppets[job.model]
                .figure(job.pose)
                .map_err(Failure::Input)?;
            scratches.lend(|scratch| draw::draw_onto(&figure, to_pixels, pixels, scratch))?;
            Ok(())
        });
        send(match &drawn {
            Ok(()) => Event::Done(at),
            Err(failure) => Event::Failed(at, failure.clone()),
        });
        drawn.map_err(|failure| failure.to_string())
    })
}
