//! The same night, over and over: on any number of threads, in any number of shards.

use super::show::{Show, assert_same};

#[test]
fn twenty_repeats_on_threads_and_in_shards_differ_in_nothing() {
    let show = Show::to_look_at();
    show.run("night cast.toml --out first --label a --threads 1", 1);
    let first = show.made("first");
    assert!(first.keys().any(|name| name.starts_with("review/")));
    assert!(
        first
            .keys()
            .any(|name| name.ends_with("haul.difference.png"))
    );
    for repeat in 0..20 {
        let (threads, shards) = (repeat % 4 + 1, repeat / 4 + 1);
        let keep = format!("--out r{repeat} --label a --threads {threads}");
        let night = format!("night cast.toml {keep}");
        if shards == 1 {
            show.run(&night, 1);
        } else {
            for shard in 1..=shards {
                show.run(&format!("{night} --shard {shard}/{shards}"), 0);
            }
            show.run(&format!("merge --out r{repeat} --threads {threads}"), 1);
        }
        let what = format!("{threads} threads, {shards} shards");
        assert_same(&first, &show.made(&format!("r{repeat}")), &what);
        std::fs::remove_dir_all(show.path(&format!("r{repeat}"))).unwrap();
    }
}
