use proptest::prelude::*;

use super::super::layout::Area;
use super::super::page::{Document, Item, Page};
use super::*;

fn sheet(cells: Vec<Cell>) -> Sheet {
    Sheet {
        heading: Heading {
            title: "Able Hand".into(),
            subtitle: "actions".into(),
            facts: vec![format!("{} poses", cells.len())],
            palette: Some(("palette day".into(), vec![Rgb([1, 2, 3]); 9])),
            sheet: "hand/actions".into(),
        },
        ground: Some(480.0),
        figure: 400.0,
        strips: false,
        groups: vec![Group {
            window: [0.0, 0.0, 300.0, 500.0],
            cells,
            ..Group::default()
        }],
    }
}

fn cell(name: &str, note: Option<&str>) -> Cell {
    Cell {
        name: name.into(),
        note: note.map(str::to_owned),
        ..Cell::default()
    }
}

fn numbered(mut cells: Vec<Cell>) -> Vec<Cell> {
    for (at, cell) in cells.iter_mut().enumerate() {
        cell.figures = vec![Shown::plain(at)];
    }
    cells
}

/// Letters, right-to-left and joined scripts, full-width characters, and what no font has.
fn names() -> impl Strategy<Value = String> {
    prop_oneof![
        "[a-z_]{1,60}",
        "[A-Za-z ,;-]{1,80}",
        "[א-ת ]{1,30}",
        "[ء-ي ]{1,30}",
        "[一-龥ぁ-ん가-힣]{1,30}",
        "\\PC{1,30}",
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    #[test]
    fn nothing_collides_leaves_the_page_or_is_lost(
        names in prop::collection::vec((names(), prop::option::of(names())), 1..30),
        split in 0_usize..30,
        title in names(),
        subtitle in names(),
        production in names(),
        width in 900_i32..5000,
        fixed in any::<bool>(),
        columns in prop::option::of(1_i32..8),
    ) {
        let cells = numbered(names.iter().map(|(n, note)| cell(n, note.as_deref())).collect());
        let count = cells.len();
        let mut sheet = sheet(cells);
        let later = sheet.groups[0].cells.split_off(split.min(count));
        sheet.groups[0].name = Some(subtitle.clone());
        if !later.is_empty() {
            let name = Some(title.clone());
            let window = [0.0, 0.0, 500.0, 300.0];
            sheet.groups.push(Group { cells: later, name, window, ..Group::default() });
        }
        sheet.groups.retain(|g| !g.cells.is_empty());
        sheet.heading.title = title;
        sheet.heading.subtitle = subtitle;
        let height = (width * 3 / 2).max(2400);
        let page = if fixed {
            PageSize::Exactly { width, height }
        } else {
            PageSize::UpTo { width, height }
        };
        let title_block = TitleBlock { production, revision: "4".into(), date: "2031-05-02".into() };
        let look = Look { page, columns, title_block, ..Look::default() };
        let document = lay_out(&sheet, &look).unwrap();
        let mut seen = Vec::new();
        for page in &document.pages {
            let words: Vec<(Area, &str)> =
                page.words().map(|w| (w.bounds(), w.text.as_str())).collect();
            for (at, (one, text)) in words.iter().enumerate() {
                prop_assert!(page.area().holds(*one), "{text:?} leaves the page");
                for (other, text2) in &words[at + 1..] {
                    prop_assert!(!one.meets(*other), "{text:?} meets {text2:?}");
                }
                for figure in page.figures() {
                    prop_assert!(!one.meets(figure.area), "{text:?} meets a figure");
                }
            }
            for figure in page.figures() {
                prop_assert!(page.area().holds(figure.area));
                prop_assert_eq!(figure.to_page.a, document.pages[0].figures().next().unwrap().to_page.a);
                seen.push(figure.figure);
            }
        }
        prop_assert_eq!(seen, (0..count).collect::<Vec<_>>());
    }
}

fn all_words(document: &Document) -> String {
    document
        .pages
        .iter()
        .flat_map(Page::words)
        .map(|w| format!("{} ", w.text))
        .collect()
}

#[test]
fn no_label_is_cut() {
    let note = "weight on the back foot, the rope runs over the shoulder and down to the deck";
    let long = note.repeat(6);
    let mut cells = vec![cell("haul_the_long_rope", Some(note)); 7];
    cells.push(cell(&"belay_".repeat(30), Some(&long)));
    let words = all_words(&lay_out(&sheet(cells), &Look::default()).unwrap());
    assert!(!words.contains('…'), "{words}");
    let flat = words.replace("_ ", "_");
    assert_eq!(flat.matches("haul_the_long_rope").count(), 7, "{words}");
    assert_eq!(flat.matches("belay_").count(), 30, "{words}");
    assert_eq!(
        words.matches("weight on the back foot").count(),
        13,
        "{words}"
    );
}

#[test]
fn pages_say_which_of_how_many_they_are() {
    let document = lay_out(&sheet(vec![cell("rest", None); 90]), &Look::default()).unwrap();
    let count = document.pages.len();
    assert!(count > 1);
    for (at, page) in document.pages.iter().enumerate() {
        let said = format!("{} of {count}", at + 1);
        assert!(page.words().any(|w| w.text == said));
    }
}

#[test]
fn a_low_page_gets_smaller_figures() {
    let cells = || numbered(vec![cell("rest", None); 4]);
    let exactly = |height| Look {
        page: PageSize::Exactly {
            width: 2400,
            height,
        },
        ..Look::default()
    };
    let scale = |look: &Look| {
        lay_out(&sheet(cells()), look).map(|d| d.pages[0].figures().next().unwrap().to_page.a)
    };
    assert!(scale(&exactly(700)).unwrap() < scale(&exactly(1600)).unwrap());
    assert!(scale(&exactly(240)).is_err());
}

#[test]
fn the_window_is_in_the_middle_of_its_cell() {
    let document = lay_out(&sheet(numbered(vec![cell("a", None)])), &Look::default()).unwrap();
    let placement = document.pages[0].figures().next().unwrap();
    let area = placement.area;
    let to_page = placement.to_page;
    let (a, b) = (to_page.apply([0.0, 0.0]), to_page.apply([300.0, 500.0]));
    let [left, top, right, bottom] = [area.x, area.y, area.right(), area.bottom()].map(f64::from);
    assert!(
        a[0] >= left && a[1] >= top && b[0] <= right && b[1] <= bottom,
        "{a:?} {b:?}"
    );
    assert!(((a[0] - left) - (right - b[0])).abs() <= 1.0, "centred");
}

#[test]
fn cells_with_a_fault_are_framed_and_say_so() {
    let mut faulty = cell("−20°", None);
    faulty.fault = Some("beyond the limit of −10°".into());
    let look = Look::default();
    let document = lay_out(&sheet(numbered(vec![faulty, cell("0°", None)])), &look).unwrap();
    let page = &document.pages[0];
    let alarm = look.paper.colours().alarm;
    let framed: Vec<Area> = page
        .items
        .iter()
        .filter_map(|item| match item {
            Item::Fill(fill) if fill.colour == alarm => Some(fill.area),
            _ => None,
        })
        .collect();
    let figures: Vec<Area> = page.figures().map(|f| f.area).collect();
    assert_eq!(framed, figures[..1]);
    assert!(all_words(&document).contains("beyond the limit"));
}
