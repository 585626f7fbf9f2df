//! Results kept in memory by the name of what they are of, with all that they were made from.
//!
//! A result is given again only while everything that it was made from is equal to what it would be
//! made from now: typed values are compared, no hash of them, so that a stale result cannot be given.
//! One result a name is kept, the last one. What was not asked for since the last [`Remembered::sweep`]
//! but one is dropped, so that memory stays within what one run needs. Nothing is kept on disk.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// The last result of each name.
#[derive(Debug)]
pub struct Remembered<K, V>(Mutex<BTreeMap<String, Entry<K, V>>>);

#[derive(Debug)]
struct Entry<K, V> {
    made_from: K,
    result: Arc<V>,
    asked_for: bool,
}

impl<K, V> Default for Remembered<K, V> {
    fn default() -> Self {
        Self(Mutex::new(BTreeMap::new()))
    }
}

impl<K: PartialEq, V> Remembered<K, V> {
    /// The result of this name made from `from`: the remembered one, or one that `make` makes now.
    /// Others may ask for other names meanwhile.
    ///
    /// # Errors
    /// What `make` fails with; a failure is not remembered.
    pub fn get_or_make<E>(
        &self,
        name: &str,
        from: K,
        make: impl FnOnce(&K) -> Result<V, E>,
    ) -> Result<Arc<V>, E> {
        if let Some(entry) = self.entries().get_mut(name)
            && entry.made_from == from
        {
            entry.asked_for = true;
            return Ok(Arc::clone(&entry.result));
        }
        let result = Arc::new(make(&from)?);
        let entry = Entry { made_from: from, result: Arc::clone(&result), asked_for: true };
        self.entries().insert(name.to_owned(), entry);
        Ok(result)
    }

    /// Drops what was not asked for since the last sweep.
    pub fn sweep(&self) {
        self.entries().retain(|_, entry| std::mem::replace(&mut entry.asked_for, false));
    }

    /// A thread that panicked while it held the lock left whole entries: they are only ever replaced.
    fn entries(&self) -> MutexGuard<'_, BTreeMap<String, Entry<K, V>>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// A shared result that counts as equal only to itself: to remember what was made from it without
/// comparing its content. The address cannot be another result's, since this keeps it alive.
#[derive(Debug)]
pub struct Same<T>(pub Arc<T>);

impl<T> PartialEq for Same<T> {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.0, &other.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ask(all: &Remembered<u32, u32>, name: &str, from: u32) -> (u32, bool) {
        let mut made = false;
        let result = all.get_or_make(name, from, |&from| {
            made = true;
            Ok::<_, ()>(from * 2)
        });
        (*result.unwrap(), made)
    }

    #[test]
    fn a_result_is_made_again_exactly_when_what_it_was_made_from_changed() {
        let all = Remembered::default();
        assert_eq!(ask(&all, "a", 1), (2, true));
        assert_eq!(ask(&all, "a", 1), (2, false));
        assert_eq!(ask(&all, "b", 1), (2, true));
        assert_eq!(ask(&all, "a", 3), (6, true));
        assert_eq!(ask(&all, "a", 1), (2, true));
    }

    #[test]
    fn what_is_no_longer_asked_for_is_dropped_and_a_failure_is_not_kept() {
        let all = Remembered::default();
        ask(&all, "a", 1);
        ask(&all, "b", 1);
        all.sweep();
        ask(&all, "b", 1);
        all.sweep();
        assert_eq!(all.entries().len(), 1);
        assert_eq!(ask(&all, "b", 1), (2, false));
        assert!(all.get_or_make("c", 1, |_| Err::<u32, _>("no")).is_err());
        assert_eq!(ask(&all, "c", 1), (2, true));
    }
}
