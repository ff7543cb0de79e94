//! [`Shop`]: how requests come to the store, one writer and one planner at a time, and the
//! advice that pages show between two taps.

use std::{
    collections::BTreeMap,
    sync::{
        Arc, Mutex, MutexGuard, PoisonError,
        atomic::{AtomicBool, Ordering},
    },
};

use app::{
    Problem,
    bay::{Bay, NextAnswer, OptionsAnswer, ShowAnswer, Shown},
};
use tokio::{
    sync::{Mutex as Bench, Semaphore},
    task,
};

/// Requests that may wait for the planner; more are sent away.
const MOST_WAITING: usize = 32;

/// Jobs whose advice is kept.
const MOST_KEPT: usize = 256;

/// Language of the pages.
pub(crate) const LANGUAGE: &str = "en";

type Open = dyn Fn() -> Result<Bay, Problem> + Send + Sync;

/// What is known of a job as of its last event.
#[derive(Debug, Clone, Default)]
pub(crate) struct Kept {
    /// Id of the event after which it was worked out.
    mark: String,
    /// The next step.
    pub(crate) next: Option<NextAnswer>,
    /// The owner's options.
    pub(crate) options: Option<OptionsAnswer>,
    /// What the last tap gave rise to.
    pub(crate) notes: Vec<String>,
}

struct Inside {
    open: Box<Open>,
    port: u16,
    door: Semaphore,
    /// The one store that writes: after a failure of the disk it takes nothing more.
    bench: Arc<Bench<Option<Bay>>>,
    kept: Mutex<BTreeMap<String, Kept>>,
    /// The job that was advised last, until it is thought about further.
    advised: Mutex<Option<String>>,
    closing: AtomicBool,
}

/// What all requests share.
#[derive(Clone)]
pub struct Shop(Arc<Inside>);

impl std::fmt::Debug for Shop {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        out.debug_struct("Shop").field("port", &self.0.port).finish_non_exhaustive()
    }
}

impl Shop {
    /// Pages served on that port of this machine, over the store that `open` opens.
    pub fn new(
        port: u16,
        open: impl Fn() -> Result<Bay, Problem> + Send + Sync + 'static,
    ) -> Self {
        Self(Arc::new(Inside {
            open: Box::new(open),
            port,
            door: Semaphore::new(MOST_WAITING),
            bench: Arc::new(Bench::new(None)),
            kept: Mutex::new(BTreeMap::new()),
            advised: Mutex::new(None),
            closing: AtomicBool::new(false),
        }))
    }

    /// The port that the `Host` of a request must name.
    pub(crate) fn port(&self) -> u16 {
        self.0.port
    }

    /// Reads the store; nothing is planned and nothing written.
    pub(crate) async fn read<T: Send + 'static>(
        &self,
        look: impl FnOnce(&Self, &Bay) -> Result<T, Problem> + Send + 'static,
    ) -> Result<T, Problem> {
        let shop = self.clone();
        let looked = task::spawn_blocking(move || look(&shop, &(shop.0.open)()?));
        looked.await.map_err(|error| Problem::could_not("serve", error))?
    }

    /// Writes or plans, after whoever came before.
    pub(crate) async fn at_bench<T: Send + 'static>(
        &self,
        work: impl FnOnce(&Self, &mut Bay) -> Result<T, Problem> + Send + 'static,
    ) -> Result<T, Problem> {
        let inside = self.0.door.try_acquire().map_err(|_| {
            Problem::could_not("busy", "too many requests wait already")
                .hint("nothing was recorded: try again in a moment")
        })?;
        let mut bench = Arc::clone(&self.0.bench).lock_owned().await;
        let shop = self.clone();
        let worked = task::spawn_blocking(move || {
            let bay = match bench.take() {
                Some(bay) => bay,
                None => (shop.0.open)()?,
            };
            work(&shop, bench.insert(bay))
        });
        let worked = worked.await.map_err(|error| Problem::could_not("serve", error))?;
        // Else the thinking would take this very request for one that waits.
        drop(inside);
        self.think_on();
        worked
    }

    /// While the page is read, thinks about what the repairer may tap next; whoever comes with
    /// a request ends it.
    fn think_on(&self) {
        let Some(job) = self.advised().take() else { return };
        let shop = self.clone();
        tokio::spawn(async move {
            let bench = Arc::clone(&shop.0.bench).lock_owned().await;
            let thought = task::spawn_blocking(move || {
                let alone = || {
                    shop.0.door.available_permits() == MOST_WAITING
                        && !shop.0.closing.load(Ordering::Relaxed)
                };
                if let Some(bay) = bench.as_ref() {
                    bay.think_ahead(&job, &alone);
                }
            });
            // Where it failed nothing is lost: the next request plans anew.
            let _ended = thought.await;
        });
    }

    /// Ends what is thought about while nobody asks.
    pub(crate) fn close(&self) {
        self.0.closing.store(true, Ordering::Relaxed);
    }

    fn advised(&self) -> MutexGuard<'_, Option<String>> {
        self.0.advised.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Works out the next step of a job and keeps it with what is to be noted beside it. A
    /// plan that fails is a note: what was tapped before it stays recorded.
    pub(crate) fn advise(&self, bay: &mut Bay, job: &str, mut notes: Vec<String>) {
        let next = bay.next(job).map_err(|problem| notes.push(problem.to_string())).ok();
        let Ok(shown) = bay.show(job) else { return };
        let kept = Kept { mark: mark(&shown), next, options: None, notes };
        *self.advised() = Some(shown.job.clone());
        self.keep(shown.job, kept);
    }

    /// Works out the owner's options where they are not known for this state of the job.
    pub(crate) fn options(&self, bay: &Bay, job: &str) -> Result<OptionsAnswer, Problem> {
        let shown = bay.show(job)?;
        let mut kept = self.kept(&shown).unwrap_or_default();
        if let Some(options) = kept.options {
            return Ok(options);
        }
        let options = bay.options(job)?;
        kept.mark = mark(&shown);
        kept.options = Some(options.clone());
        self.keep(shown.job, kept);
        Ok(options)
    }

    /// What is kept of a job, unless something was recorded since.
    pub(crate) fn kept(&self, shown: &ShowAnswer) -> Option<Kept> {
        self.all().get(&shown.job).filter(|kept| kept.mark == mark(shown)).cloned()
    }

    /// Works out the next step of every car on hand, one after another.
    pub(crate) async fn think_ahead(&self) {
        let Ok(cars) = self.read(|_, bay| bay.jobs(Shown::OnHand)).await else { return };
        for car in cars.cars {
            let job = car.job;
            let work = move |shop: &Self, bay: &mut Bay| {
                if shop.kept(&bay.show(&job)?).is_none() {
                    shop.advise(bay, &job, Vec::new());
                }
                Ok(())
            };
            if self.at_bench(work).await.is_err() {
                return;
            }
        }
    }

    fn keep(&self, job: String, kept: Kept) {
        let mut all = self.all();
        if all.len() >= MOST_KEPT && !all.contains_key(&job) {
            all.pop_first();
        }
        all.insert(job, kept);
    }

    fn all(&self) -> MutexGuard<'_, BTreeMap<String, Kept>> {
        // What is kept is worked out anew at need, so a panic elsewhere spoils nothing.
        self.0.kept.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// Id of the newest event.
fn mark(shown: &ShowAnswer) -> String {
    shown.events.first().map_or_else(String::new, |event| event.event.clone())
}
