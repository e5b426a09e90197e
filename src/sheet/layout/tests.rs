use proptest::prelude::*;

use super::*;

const SPACING: Spacing = Spacing {
    margin: 90,
    gap: 30,
    row_gap: 40,
    group_gap: 60,
    pad: 12,
    label_gap: 14,
    heading_gap: 20,
    band_gap: 40,
    narrowest_cell: 180,
    narrowest_page: 1100,
    beside: false,
};

const TALL: [f64; 2] = [300.0, 500.0];

fn request(page: PageSize, groups: &[GroupRequest]) -> GridRequest<'_> {
    GridRequest {
        page,
        spacing: SPACING,
        target: 500,
        fixed: false,
        columns: None,
        highest: None,
        groups,
    }
}

fn lone(cells: usize) -> [GroupRequest; 1] {
    [GroupRequest {
        cells,
        likes: None,
        window: TALL,
    }]
}

const USUAL: PageSize = PageSize::UpTo {
    width: 2400,
    height: 3200,
};

#[test]
fn cells_fill_the_width_of_the_page() {
    let grid = choose_grid(&request(USUAL, &lone(40)));
    let GroupGrid {
        columns,
        cell_width,
        ..
    } = grid.groups[0];
    assert_eq!(
        grid.page_width - 2 * 90,
        columns * cell_width + (columns - 1) * 30
    );
    assert!(
        grid.scale * 500.0 >= 400.0 && grid.scale * 500.0 <= 675.0,
        "{grid:?}"
    );
}

#[test]
fn a_nearly_empty_last_row_is_avoided() {
    // 324 px cells: six fit; thirteen cells would leave one alone.
    assert_eq!(choose_grid(&request(USUAL, &lone(13))).groups[0].columns, 7);
    assert_eq!(choose_grid(&request(USUAL, &lone(12))).groups[0].columns, 6);
}

#[test]
fn few_cells_make_a_narrow_page() {
    let grid = choose_grid(&request(USUAL, &lone(2)));
    assert_eq!(grid.groups[0].columns, 2);
    assert_eq!(grid.page_width, 1100);
    assert_eq!(
        2 * grid.groups[0].cell_width + 30,
        1100 - 2 * 90,
        "they fill it"
    );
}

#[test]
fn a_lone_grid_keeps_its_rows() {
    let groups = [GroupRequest {
        cells: 16,
        likes: Some(4),
        window: TALL,
    }];
    assert_eq!(choose_grid(&request(USUAL, &groups)).groups[0].columns, 4);
}

#[test]
fn asked_for_columns_and_cells_are_kept() {
    let groups = lone(40);
    let mut asked = request(USUAL, &groups);
    asked.columns = Some(3);
    assert_eq!(choose_grid(&asked).groups[0].columns, 3);
    asked.fixed = true;
    asked.target = 250;
    let grid = choose_grid(&asked);
    assert!((grid.scale - 0.5).abs() < 1e-12);
    assert!(grid.groups[0].columns <= 3);
    asked.target = 1000;
    asked.columns = Some(5);
    let grid = choose_grid(&asked);
    assert!((grid.scale - 2.0).abs() < 1e-12);
    assert_eq!(
        grid.page_width,
        5 * 624 + 4 * 30 + 180,
        "the page makes way"
    );
}

#[test]
fn groups_share_a_scale_and_split_evenly() {
    let wide = GroupRequest {
        cells: 11,
        likes: None,
        window: [600.0, 300.0],
    };
    let slim = GroupRequest {
        cells: 7,
        likes: None,
        window: [300.0, 500.0],
    };
    let grid = GroupRequest {
        cells: 12,
        likes: Some(4),
        window: [300.0, 500.0],
    };
    let chosen = choose_grid(&request(USUAL, &[wide, slim, grid]));
    let [a, b, c] = chosen.groups[..] else {
        panic!("three groups")
    };
    assert!((f64::from(a.cell_width - 24) - 600.0 * chosen.scale).abs() <= 1.0);
    assert!((f64::from(b.cell_width - 24) - 300.0 * chosen.scale).abs() <= 1.0);
    assert!((f64::from(b.figure_height - 24) - 500.0 * chosen.scale).abs() <= 1.0);
    assert_eq!(c.columns, 4, "a grid keeps its rows");
    // 624 px cells: three fit, so eleven make rows of 3, 3, 3, 2; 324 px: six fit, 4 + 3.
    assert_eq!((a.columns, b.columns), (3, 4));
}

const COLUMN: GroupGrid = GroupGrid {
    columns: 1,
    cell_width: 300,
    figure_height: 500,
};

#[test]
fn pages_are_filled_evenly() {
    let groups = [GroupSizes {
        heading: 0,
        grid: COLUMN,
        labels: vec![60; 8],
    }];
    let request = PagesRequest {
        page: USUAL,
        spacing: SPACING,
        width: 1100,
        title: 150,
        footer: 40,
        groups: &groups,
    };
    let pages = lay_out(&request).unwrap();
    assert_eq!(
        pages.iter().map(|p| p.cells.len()).collect::<Vec<_>>(),
        [4, 4]
    );
    assert_eq!(pages[0].height, pages[1].height);
}

#[test]
fn a_group_that_fits_on_a_page_is_not_split() {
    let group = |rows: usize| GroupSizes {
        heading: 30,
        grid: COLUMN,
        labels: vec![60; rows],
    };
    let groups = [group(3), group(2), group(3), group(9)];
    let request = PagesRequest {
        page: USUAL,
        spacing: SPACING,
        width: 1100,
        title: 150,
        footer: 40,
        groups: &groups,
    };
    let pages = lay_out(&request).unwrap();
    let seen: Vec<Vec<usize>> = pages
        .iter()
        .map(|p| p.cells.iter().map(|c| c.group).collect())
        .collect();
    assert_eq!(
        seen[..2],
        [vec![0, 0, 0], vec![1, 1]],
        "three and two rows do not fit on one page"
    );
    assert!(seen[2].starts_with(&[2, 2, 2]));
}

#[test]
fn a_page_too_small_for_one_row_is_an_error() {
    let groups = [GroupSizes {
        heading: 30,
        grid: COLUMN,
        labels: vec![60],
    }];
    let page = PageSize::Exactly {
        width: 1100,
        height: 700,
    };
    let request = PagesRequest {
        page,
        spacing: SPACING,
        width: 1100,
        title: 150,
        footer: 40,
        groups: &groups,
    };
    let error = lay_out(&request).unwrap_err();
    assert_eq!(
        error,
        TooSmall {
            height: 700,
            needed: 2 * 90 + 150 + 40 + 2 * 40 + 30 + 20 + 500 + 14 + 60
        }
    );
}

prop_compose! {
    fn sizes()(
        labels in prop::collection::vec(0_i32..160, 1..30),
        heading in prop_oneof![Just(0), 20_i32..90],
        likes in prop::option::of(1_usize..9),
        window in (50.0_f64..3000.0, 50.0_f64..3000.0),
    ) -> (Vec<i32>, i32, GroupRequest) {
        let cells = labels.len();
        (labels, heading, GroupRequest { cells, likes, window: [window.0, window.1] })
    }
}

proptest! {
    #[test]
    fn nothing_meets_leaves_the_page_or_is_lost(
        groups in prop::collection::vec(sizes(), 1..6),
        width in 700_i32..4000,
        height in 1800_i32..6000,
        exact in any::<bool>(),
        columns in prop::option::of(1_i32..60),
        cell in prop::option::of(60_i32..700),
    ) {
        let page = if exact { PageSize::Exactly { width, height } } else { PageSize::UpTo { width, height } };
        let wanted: Vec<_> = groups.iter().map(|(_, _, g)| *g).collect();
        let grid = choose_grid(&GridRequest {
            page,
            spacing: SPACING,
            target: cell.unwrap_or(500),
            fixed: cell.is_some(),
            columns,
            highest: Some(900),
            groups: &wanted,
        });
        for (group, GroupRequest { window, .. }) in grid.groups.iter().zip(&wanted) {
            let room = [group.cell_width, group.figure_height].map(|v| f64::from(v - 2 * SPACING.pad));
            prop_assert!(grid.scale * window[0] <= room[0] + 1e-6 || room[0] <= 0.0);
            prop_assert!(grid.scale * window[1] <= room[1] + 1e-6);
            prop_assert!(columns.is_none_or(|n| group.columns <= n));
        }
        let sizes: Vec<_> = groups
            .iter()
            .zip(&grid.groups)
            .map(|((labels, heading, _), grid)| GroupSizes { heading: *heading, grid: *grid, labels: labels.clone() })
            .collect();
        let request = PagesRequest {
            page,
            spacing: SPACING,
            width: grid.page_width,
            title: 160,
            footer: 40,
            groups: &sizes,
        };
        let pages = lay_out(&request).unwrap();
        let mut seen = Vec::new();
        for page in &pages {
            let sheet = Area { x: 0, y: 0, w: page.width, h: page.height };
            prop_assert!(page.height <= height);
            prop_assert!(page.width <= LONGEST_SIDE);
            if exact {
                prop_assert_eq!((page.width, page.height), (width, height));
            }
            let mut boxes = vec![page.title, page.footer];
            boxes.extend(page.headings.iter().map(|h| h.area));
            for cell in &page.cells {
                seen.push((cell.group, cell.index));
                boxes.push(cell.figure);
                boxes.push(cell.label);
            }
            for (at, one) in boxes.iter().enumerate() {
                prop_assert!(sheet.holds(*one), "{one:?} leaves {sheet:?}");
                for other in &boxes[at + 1..] {
                    prop_assert!(!one.meets(*other), "{one:?} meets {other:?}");
                }
            }
            // A heading stands over each group's first cells on the page.
            for (group, (_, height, _)) in groups.iter().enumerate() {
                let first = page.cells.iter().find(|c| c.group == group);
                let heading = page.headings.iter().find(|h| h.group == group);
                prop_assert_eq!(first.is_some() && *height > 0, heading.is_some());
                if let (Some(cell), Some(heading)) = (first, heading) {
                    prop_assert!(heading.area.bottom() <= cell.figure.y);
                    prop_assert_eq!(heading.continued, cell.index > 0);
                }
            }
        }
        let all: Vec<_> = groups
            .iter()
            .enumerate()
            .flat_map(|(g, (labels, _, _))| (0..labels.len()).map(move |i| (g, i)))
            .collect();
        prop_assert_eq!(seen, all);
    }
}
