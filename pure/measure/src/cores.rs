//! Both cores for what takes long.

/// Maps in order, the halves on a thread each where that is `worth` the start of one.
pub(crate) fn in_two<T: Sync, U: Send>(
    of: &[T],
    worth: bool,
    map: impl Fn(&T) -> U + Sync,
) -> Vec<U> {
    if !worth || of.len() < 2 {
        return of.iter().map(map).collect();
    }
    let (one, other) = of.split_at(of.len().div_ceil(2));
    std::thread::scope(|scope| {
        let other = scope.spawn(|| other.iter().map(&map).collect::<Vec<U>>());
        let mut all: Vec<U> = one.iter().map(&map).collect();
        match other.join() {
            Ok(more) => all.extend(more),
            Err(panic) => std::panic::resume_unwind(panic),
        }
        all
    })
}
