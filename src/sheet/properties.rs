//! Layout of the kinds of sheet with pages of their own making, under random names, counts and page
//! sizes: nothing leaves the page, no words meet other words, a cell of a figure or the title block.

use crate::art::Rgb;
use crate::sheet::{
    Area, ColourSheet, Coloured, Document, Guide, Heading, Item, LineUp, Look, ModelSheet,
    PageSize, Standing, Turnaround, TurnedView, colour_sheet, line_up, model_sheet, turnaround,
};
use proptest::prelude::*;
use proptest::test_runner::TestCaseError;

/// Letters, right-to-left and joined scripts, full-width characters, and what no font has.
fn name() -> impl Strategy<Value = String> {
    prop_oneof![
        "[a-z_]{1,40}",
        "[A-Za-z ,;-]{1,60}",
        "[א-ת ]{1,30}",
        "[ء-ي ]{1,30}",
        "[一-龥ぁ-ん가-힣]{1,20}",
        "\\PC{1,12}",
    ]
}

fn look() -> impl Strategy<Value = Look> {
    (1100_i32..4000, 0.6_f64..1.7, any::<bool>()).prop_map(|(width, shape, fixed)| {
        #[expect(clippy::cast_possible_truncation, reason = "a page")]
        let height = (f64::from(width) * shape) as i32;
        let page = if fixed {
            PageSize::Exactly { width, height }
        } else {
            PageSize::UpTo {
                width,
                height: 3200,
            }
        };
        Look {
            page,
            ..Look::default()
        }
    })
}

fn heading(title: String, sheet: String) -> Heading {
    Heading {
        title,
        sheet,
        subtitle: "a sheet".into(),
        ..Heading::default()
    }
}

fn window() -> impl Strategy<Value = [f64; 4]> {
    (100.0_f64..900.0, 300.0_f64..1000.0).prop_map(|(w, h)| [0.0, 1000.0 - h, w, 1000.0])
}

fn colours(most: usize) -> impl Strategy<Value = Vec<(String, Rgb)>> {
    prop::collection::vec((name(), any::<[u8; 3]>().prop_map(Rgb)), 1..most)
}

/// `beside`: no words over a figure's cell at all, as on sheets whose labels stand outside of it.
fn sound(document: &Document, beside: bool) -> Result<(), TestCaseError> {
    prop_assert!(!document.pages.is_empty());
    for page in &document.pages {
        let words: Vec<(Area, &str)> = page
            .words()
            .map(|w| (w.bounds(), w.text.as_str()))
            .collect();
        for (at, (one, text)) in words.iter().enumerate() {
            prop_assert!(
                page.area().holds(*one),
                "{text:?} {one:?} leaves {:?}",
                page.area()
            );
            for (other, text2) in &words[at + 1..] {
                prop_assert!(
                    !one.meets(*other),
                    "{text:?} {one:?} meets {text2:?} {other:?}"
                );
            }
            for figure in page.figures().filter(|_| beside) {
                prop_assert!(!one.meets(figure.area), "{text:?} meets a figure's cell");
            }
        }
        for figure in page.figures() {
            prop_assert!(page.area().holds(figure.area));
            prop_assert!(figure.area.w > 0 && figure.area.h > 0);
        }
    }
    Ok(())
}

/// Where a window ends up on the page, whole pixels outwards.
#[expect(clippy::cast_possible_truncation, reason = "within a page")]
fn drawn(figure: &crate::sheet::Placement, [l, t, r, b]: [f64; 4]) -> Area {
    let (from, to) = (figure.to_page.apply([l, t]), figure.to_page.apply([r, b]));
    let (x, y) = (from[0].floor() as i32, from[1].floor() as i32);
    Area {
        x,
        y,
        w: to[0].ceil() as i32 - x,
        h: to[1].ceil() as i32 - y,
    }
}

/// No words over what a figure covers, and all of the figure within its cell.
fn clear(document: &Document, windows: &[[f64; 4]]) -> Result<(), TestCaseError> {
    for page in &document.pages {
        for figure in page.figures() {
            let covered = drawn(figure, windows[figure.figure]);
            let cell = figure.area;
            let roomy = Area {
                x: cell.x - 1,
                y: cell.y - 1,
                w: cell.w + 2,
                h: cell.h + 2,
            };
            prop_assert!(roomy.holds(covered), "{covered:?} leaves {cell:?}");
            for words in page.words() {
                prop_assert!(
                    !words.bounds().meets(covered),
                    "{:?} over a figure",
                    words.text
                );
            }
        }
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn model_sheets_are_sound(
        look in look(),
        names in (name(), name()),
        window in window(),
        heads in prop::option::of(1.0_f64..12.0),
        landmarks in prop::collection::vec((name(), 0.0_f64..1000.0), 0..14),
        measures in prop::collection::vec((name(), 1.0_f64..900.0), 0..14),
        notes in prop::collection::vec(("[a-z ]{1,90}", 0.0_f64..1.0, 0.0_f64..1.0), 0..10),
        swatches in prop::option::of(colours(60)),
    ) {
        let [left, top, right, bottom] = window;
        let sheet = ModelSheet {
            heading: heading(names.0, names.1.clone()),
            window,
            ground: Some(bottom),
            crown: Some(top),
            heads,
            height: Some("158 cm".into()),
            landmarks,
            measures,
            notes: notes
                .into_iter()
                .map(|(text, x, y)| (text, [left + x * (right - left), top + y * (bottom - top)]))
                .collect(),
            palette: swatches.map(|all| (names.1, all)),
            ..ModelSheet::default()
        };
        let document = model_sheet(&sheet, &look);
        sound(&document, false)?;
        clear(&document, &[window])?;
        prop_assert_eq!(document.pages.iter().flat_map(|p| p.figures()).count(), 1);
        // Every colour is there.
        let codes = document.pages.iter().flat_map(|p| p.words()).filter(|w| {
            w.text.len() == 7 && w.text.starts_with('#')
        });
        let expect = sheet.palette.as_ref().map_or(0, |(_, all)| all.len());
        prop_assert!(codes.count() >= expect);
    }

    #[test]
    fn turnarounds_are_sound(
        look in look(),
        names in (name(), name()),
        views in prop::collection::vec((name(), window()), 2..8),
        guides in prop::collection::vec((name(), prop::collection::vec(0.0_f64..1000.0, 8)), 0..9),
        heads in prop::option::of(1.0_f64..12.0),
    ) {
        let sheet = Turnaround {
            heading: heading(names.0, names.1),
            guides: guides
                .into_iter()
                .map(|(name, levels)| Guide {
                    name,
                    said: None,
                    drawn: levels[..views.len()].iter().map(|&y| Some(y)).collect(),
                })
                .collect(),
            ground: Some(1000.0),
            height: 1000.0,
            heads,
            tolerance: 0.01,
            views: views
                .iter()
                .enumerate()
                .map(|(figure, (name, window))| TurnedView {
                    name: name.clone(),
                    figure,
                    window: *window,
                })
                .collect(),
        };
        let document = turnaround(&sheet, &look);
        sound(&document, false)?;
        let windows: Vec<[f64; 4]> = views.iter().map(|v| v.1).collect();
        clear(&document, &windows)?;
        prop_assert_eq!(document.pages[0].figures().count(), windows.len());
    }

    #[test]
    fn line_ups_are_sound(
        look in look(),
        names in (name(), name()),
        members in prop::collection::vec((name(), window(), 0.05_f64..1.0), 1..14),
    ) {
        let sheet = LineUp {
            heading: heading(names.0, names.1),
            unit: "cm".into(),
            members: members
                .iter()
                .enumerate()
                .map(|(figure, (name, window, size))| Standing {
                    name: name.clone(),
                    figure,
                    window: *window,
                    ground: 990.0,
                    crown: Some(window[1] + 4.0),
                    size: *size,
                    height: Some("158 cm".into()),
                })
                .collect(),
        };
        let document = line_up(&sheet, &look);
        sound(&document, false)?;
        let windows: Vec<[f64; 4]> = members.iter().map(|m| m.1).collect();
        clear(&document, &windows)?;
        prop_assert_eq!(document.pages[0].figures().count(), windows.len());
    }

    #[test]
    fn colour_sheets_are_sound(
        look in look(),
        names in (name(), name()),
        window in window(),
        palettes in prop::collection::vec((name(), colours(50)), 1..7),
    ) {
        let count = palettes.len();
        let sheet = ColourSheet {
            heading: heading(names.0, names.1),
            window,
            ground: Some(990.0),
            palettes: palettes
                .into_iter()
                .enumerate()
                .map(|(figure, (name, swatches))| Coloured { name, figure, swatches })
                .collect(),
        };
        let document = colour_sheet(&sheet, &look);
        sound(&document, true)?;
        let windows = vec![window; count];
        clear(&document, &windows)?;
        let order: Vec<usize> =
            document.pages.iter().flat_map(|p| p.figures()).map(|f| f.figure).collect();
        prop_assert_eq!(order, (0..count).collect::<Vec<_>>());
    }
}

/// Twelve heads on a low, wide panel: the heads are closer together than the lines of their numbers.
#[test]
fn numbers_of_a_low_ruler_do_not_meet() {
    let window = [0.0, 700.0, 886.219_779_963_117_6, 1000.0];
    let sheet = ModelSheet {
        heading: heading("_".into(), "a".into()),
        window,
        ground: Some(1000.0),
        crown: Some(700.0),
        heads: Some(11.841_174_613_539_86),
        height: Some("158 cm".into()),
        measures: vec![
            ("弬쥝댛珬づ凩".into(), 602.734_403_879_124_2),
            (" ג".into(), 87.803_914_660_370_71),
            ("辄ば".into(), 80.646_160_741_172_79),
        ],
        notes: vec![
            (
                "m  uoc f tcanplc  gmt   ifh ff  y d  k  oye yax".into(),
                [23.244_937, 935.378_933],
            ),
            (
                " o dzd tu v       lkra  c pliu    v pn sn".into(),
                [546.595_092, 887.434_968],
            ),
        ],
        ..ModelSheet::default()
    };
    let look = Look {
        page: PageSize::UpTo {
            width: 1100,
            height: 3200,
        },
        ..Look::default()
    };
    let document = model_sheet(&sheet, &look);
    sound(&document, false).unwrap();
    clear(&document, &[window]).unwrap();
    // Every second head, and the whole height at the ground: all that is written behind the figure.
    let behind = document.pages[0].items.iter();
    let numbers: Vec<&str> = behind
        .take_while(|item| !matches!(item, Item::Figure(_)))
        .filter_map(|item| match item {
            Item::Words(words) => Some(words.text.as_str()),
            _ => None,
        })
        .collect();
    assert_eq!(numbers, ["0", "2", "4", "6", "8", "10", "11.84"]);
}
