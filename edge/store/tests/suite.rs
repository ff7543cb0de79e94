//! Every store passes the same suite.
#![cfg(test)]

mod support;

use std::collections::BTreeSet;

use job::{Seen, Trouble};
use store::{
    Blob, Counts, FailingStore, MemoryStore, SqliteStore, Store, StoreError, When,
};
use support::{archive, cleaned, draft, erased, import, noted, opened, tap};

type Make<'m> = &'m dyn Fn() -> Box<dyn Store>;

/// Runs a test over every kind of store; each call of `make` gives a new, empty one.
fn over_all(test: impl Fn(Make<'_>)) {
    test(&|| Box::new(MemoryStore::new().unwrap()));
    test(&|| Box::new(FailingStore::new(MemoryStore::new().unwrap(), 0, When::Before)));
    let folder = tempfile::tempdir().unwrap();
    let count = std::cell::Cell::new(0_u32);
    let file = || {
        count.set(count.get() + 1);
        folder.path().join(format!("{}.db", count.get()))
    };
    test(&|| Box::new(SqliteStore::open(&file()).unwrap()));
    test(&|| {
        Box::new(FailingStore::new(SqliteStore::open(&file()).unwrap(), 0, When::After))
    });
}

fn archive_error(answer: Result<Counts, StoreError>) -> String {
    match answer {
        Err(StoreError::Archive { what, .. }) => what,
        other => panic!("{other:?}"),
    }
}

#[test]
fn what_was_appended_is_there_in_order() {
    over_all(|make| {
        let mut store = make();
        let ids: Vec<String> =
            (0..9).map(|number| store.append(&tap(number)).unwrap().id).collect();
        let all = store.all().unwrap();
        assert_eq!(
            all.iter().map(|stored| &stored.id).collect::<Vec<_>>(),
            ids.iter().collect::<Vec<_>>()
        );
        assert_eq!(store.jobs().unwrap(), ["job-0", "job-1", "job-2"]);
        assert_eq!(
            store.events("job-1").unwrap(),
            [all[1].clone(), all[4].clone(), all[7].clone()]
        );
        let head = &store.heads().unwrap()[&store.writer()];
        assert_eq!((head.seq, &head.id), (9, &ids[8]));
        assert_eq!(store.verify(&[]).unwrap(), []);
        let seen = Seen { id: ids[8].clone(), by: "the report".into() };
        assert_eq!(store.verify(&[seen]).unwrap(), []);
    });
}

/// Design section 12: the client reference makes a repeated tap one event.
#[test]
fn a_repeated_tap_gets_the_old_answer_and_another_one_a_conflict() {
    over_all(|make| {
        let mut store = make();
        let first = store.append(&tap(7)).unwrap();
        let mut later = tap(7);
        later.at = "2026-11-25T10:00:00Z".into();
        assert_eq!(store.append(&later).unwrap(), first);
        let other = cleaned(7);
        assert!(matches!(store.append(&other), Err(StoreError::Conflict(_))));
        assert_eq!(store.all().unwrap().len(), 1);
    });
}

#[test]
fn several_drafts_are_kept_together_or_not_at_all() {
    over_all(|make| {
        let mut store = make();
        store.append(&tap(1)).unwrap();
        let mut bad = tap(3);
        bad.at = "noon".into();
        assert!(matches!(store.append_all(&[tap(2), bad]), Err(StoreError::Event(_))));
        assert!(store.append_all(&[tap(2), cleaned(1)]).is_err());
        assert_eq!(store.all().unwrap().len(), 1);
        assert_eq!(store.append_all(&[tap(1), tap(2), tap(3)]).unwrap().len(), 3);
        assert_eq!(store.all().unwrap().len(), 3);
        assert_eq!(store.append_all(&[]).unwrap(), []);
        assert_eq!(store.verify(&[]).unwrap(), []);
    });
}

#[test]
fn blobs_come_back_and_the_same_bytes_have_two_names() {
    over_all(|make| {
        let mut store = make();
        let first = store.put_blob(b"a face").unwrap();
        let second = store.put_blob(b"a face").unwrap();
        assert_ne!(first, second, "without its salt nobody can guess the bytes");
        assert_eq!(store.blob(&first).unwrap(), Blob::Here(b"a face".to_vec()));
        assert_eq!(store.blob("nothing").unwrap(), Blob::Unknown);
        let large = vec![0; store::MAX_BLOB_BYTES + 1];
        assert!(matches!(store.put_blob(&large), Err(StoreError::TooLarge { .. })));
    });
}

#[test]
fn an_erased_blob_is_gone_also_against_an_older_archive() {
    over_all(|make| {
        let mut store = make();
        let blob = store.put_blob(b"a number plate").unwrap();
        store.append(&noted(1, &blob)).unwrap();
        let older = archive(store.as_ref());
        store.append(&erased(2, &blob)).unwrap();
        assert_eq!(store.blob(&blob).unwrap(), Blob::Erased);
        assert_eq!(import(store.as_mut(), &older).unwrap(), Counts::default());
        assert_eq!(store.blob(&blob).unwrap(), Blob::Erased);
        assert_eq!(store.verify(&[]).unwrap(), [], "no chain is broken by it");
        // And it goes with the archive: another store that still has it loses it too.
        let mut other = make();
        import(other.as_mut(), &older).unwrap();
        assert!(matches!(other.blob(&blob).unwrap(), Blob::Here(_)));
        import(other.as_mut(), &archive(store.as_ref())).unwrap();
        assert_eq!(other.blob(&blob).unwrap(), Blob::Erased);
    });
}

#[test]
fn an_archive_carries_everything_and_taking_it_in_twice_adds_nothing() {
    over_all(|make| {
        let mut store = make();
        store.append(&opened(0)).unwrap();
        let blob = store.put_blob(&[0, 10, 13, 255]).unwrap();
        store.append(&noted(1, &blob)).unwrap();
        let bytes = archive(store.as_ref());
        let mut other = make();
        other.append(&tap(50)).unwrap();
        let counts = import(other.as_mut(), &bytes).unwrap();
        assert_eq!(counts, Counts { events: 2, blobs: 1, gone: 0 });
        assert_eq!(import(other.as_mut(), &bytes).unwrap(), Counts::default());
        assert_eq!(other.blob(&blob).unwrap(), Blob::Here(vec![0, 10, 13, 255]));
        assert_eq!(other.verify(&[]).unwrap(), []);
        // The next event knows what came in.
        let next = other.append(&tap(51)).unwrap().read().unwrap();
        assert_eq!(next.heads, store.heads().unwrap());
        assert_eq!((next.seq, next.writer), (2, other.writer()));
    });
}

/// Merging is the union of chains: whoever takes in what, both end with the same log.
#[test]
fn two_stores_that_exchange_archives_fold_alike() {
    over_all(|make| {
        let (mut bench, mut phone) = (make(), make());
        for number in 0..4 {
            bench.append(&tap(number)).unwrap();
            phone.append(&tap(number + 100)).unwrap();
        }
        let (from_bench, from_phone) = (archive(bench.as_ref()), archive(phone.as_ref()));
        import(phone.as_mut(), &from_bench).unwrap();
        import(bench.as_mut(), &from_phone).unwrap();
        let set =
            |store: &dyn Store| store.all().unwrap().into_iter().collect::<BTreeSet<_>>();
        assert_eq!(set(bench.as_ref()), set(phone.as_ref()));
        let order = |store: &dyn Store| job::in_order(&store.events("job-1").unwrap());
        assert_eq!(order(bench.as_ref()), order(phone.as_ref()));
    });
}

/// A store that was copied and both went on: the import keeps both branches, names the
/// fork, and goes on as a new writer.
#[test]
fn a_copied_store_is_a_named_fork_and_gets_a_new_writer() {
    let folder = tempfile::tempdir().unwrap();
    let [one, two] = ["one.db", "two.db"].map(|name| folder.path().join(name));
    let mut first = SqliteStore::open(&one).unwrap();
    first.append(&tap(1)).unwrap();
    drop(first);
    std::fs::copy(&one, &two).unwrap();
    let [mut first, mut second] =
        [&one, &two].map(|path| SqliteStore::open(path).unwrap());
    assert_eq!(first.writer(), second.writer());
    first.append(&tap(2)).unwrap();
    second.append(&tap(3)).unwrap();
    let was = second.writer();
    import(&mut second, &archive(&first)).unwrap();
    assert_ne!(second.writer(), was);
    let found = second.verify(&[]).unwrap();
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].trouble, Trouble::Fork);
    second.append(&tap(4)).unwrap();
    assert_eq!(second.verify(&[]).unwrap().len(), 1);
    assert_eq!(second.all().unwrap().len(), 4);
    // And an archive that holds a fork is taken in as it is.
    let mut third = MemoryStore::new().unwrap();
    assert_eq!(import(&mut third, &archive(&second)).unwrap().events, 4);
}

#[test]
fn a_failing_store_keeps_nothing_or_is_asked_again() {
    for fails_at in 1..=5 {
        for when in [When::Before, When::After] {
            let inner = MemoryStore::new().unwrap();
            let mut store = FailingStore::new(inner, fails_at, when);
            for number in 1..=5 {
                let answer = store.append(&tap(number));
                if number == fails_at {
                    assert!(matches!(answer, Err(StoreError::OnPurpose(_))));
                    store.append(&tap(number)).unwrap();
                } else {
                    answer.unwrap();
                }
            }
            let inner = store.into_inner();
            assert_eq!(inner.all().unwrap().len(), 5, "{fails_at} {when:?}");
            assert_eq!(inner.verify(&[]).unwrap(), []);
        }
    }
}

#[test]
fn half_an_archive_changes_nothing() {
    over_all(|make| {
        let mut store = make();
        let blob = store.put_blob(b"x").unwrap();
        store.append(&noted(1, &blob)).unwrap();
        store.append(&tap(2)).unwrap();
        let bytes = archive(store.as_ref());
        let mut other = make();
        for cut in 0..bytes.len() {
            archive_error(import(other.as_mut(), &bytes[..cut]));
        }
        assert_eq!(other.all().unwrap(), []);
        assert_eq!(other.blob(&blob).unwrap(), Blob::Unknown);
        let mut more = bytes.clone();
        more.push(b'\n');
        assert!(archive_error(import(other.as_mut(), &more)).contains("follows the end"));
        import(other.as_mut(), &bytes).unwrap();
    });
}

#[test]
fn a_job_without_a_name_is_no_job() {
    over_all(|make| {
        let mut store = make();
        let body = job::body::WriterJoined { name: "bench".into(), program: "x".into() };
        let mut joined = draft(1, body);
        joined.job = String::new();
        store.append(&joined).unwrap();
        assert_eq!(store.jobs().unwrap(), [""; 0]);
        assert_eq!(store.all().unwrap().len(), 1);
    });
}
