//! Puts a whole set of files into a folder, or leaves the old set as it was.
//!
//! How a commit goes: the folder is locked; every changed file is written and synced into a staging
//! folder inside the target, so that any lack of space or permission shows before anything is
//! replaced; the journal (what is about to be there) is synced; then the staged files are renamed into
//! place one by one, files that the old set had and the new one has not are removed if that was asked
//! for, its filled beds are moved aside so that nobody prints them again, and the manifest is renamed
//! last. A rename replaces a file at once or not at all, so no file is ever half written.
//!
//! The window that remains: a run killed between the first and the last rename leaves files of
//! both sets, each of them whole, under the old manifest. Their hashes differ from it, and the next commit
//! finds the journal, knows those files for its own, and finishes the job.
//!
//! Nobody's file is lost: a file that the manifest does not list, or that was changed since, is never
//! overwritten or removed, and what others put into the staging folder stays. Unchanged files are not
//! written again. Nothing is followed out of the folder through a symbolic link. A run that is refused
//! leaves neither a lock nor an empty folder behind.

use std::collections::BTreeMap;
use std::fs::{self, File, TryLockError};
use std::io::{self, Read as _, Write as _};
use std::path::{Path, PathBuf};

use rayon::prelude::*;

use super::manifest::{Entry, LARGEST_MANIFEST, MANIFEST, Manifest, ManifestError, plain_path};

/// Held while a run writes.
const LOCK: &str = ".bolewright.lock";
/// Where beds of an earlier set go.
const ASIDE: &str = "earlier";

/// Folder of the files to come.
const STAGING: &str = ".bolewright-staging";

/// What a commit is about to put into place, in the staging folder.
const JOURNAL: &str = "journal.json";
/// The same until it is whole.
const FRESH_JOURNAL: &str = "journal.new";

/// Times that a lock is tried anew whose file another run was just removing; each time means that a
/// whole run ended in between.
const LOCK_TRIES: usize = 100;

/// Files of a set by path: relative, `/` between folders.
#[derive(Debug, Clone, Default)]
pub(crate) struct FileSet {
    files: BTreeMap<String, Vec<u8>>,
}

/// What a commit did.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) struct Committed {
    /// Written anew, the manifest not counted.
    pub written: Vec<String>,
    /// On disk already, left alone.
    pub unchanged: Vec<String>,
    /// Of the old set and not of the new one, left in place and in the manifest.
    pub unused: Vec<String>,
    /// Beds of the old set and not of the new one, moved aside so that nobody prints them again.
    pub aside: Vec<String>,
    /// Of the old set and not of the new one, removed since that was asked for.
    pub removed: Vec<String>,
    /// Of the old set and not of the new one, but changed since by someone: left alone.
    pub kept: Vec<String>,
    /// An earlier run had been cut short, and this one cleared up after it.
    pub recovered: bool,
}

/// What to do with files of the old set that the new one has not.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Unused {
    /// Move aside what would be printed by mistake, leave the others, and list both.
    Keep,
    /// Remove them, unless someone changed them since.
    Remove,
    /// The new set is only some files of the old one: the others stay, and the manifest goes on
    /// to list them as it did, those too that someone changed.
    Others,
}

/// Why a set was not written. Unless it says otherwise, the old set is as it was.
#[derive(Debug, thiserror::Error)]
pub(crate) enum FilesError {
    /// A path that a set may not have.
    #[error("{path:?} cannot be the path of a file in a set: {why}")]
    BadPath {
        /// The path.
        path: String,
        /// What is wrong with it.
        why: &'static str,
    },
    /// The target is there and no folder.
    #[error("{} is not a folder, choose another", .0.display())]
    NotAFolder(PathBuf),
    /// Another run is writing.
    #[error("another run is writing into {}, wait for it to end", .0.display())]
    Busy(PathBuf),
    /// A file that no earlier run wrote is in the way.
    #[error("{} was not written by this program, move it or choose another folder", .0.display())]
    Foreign(PathBuf),
    /// A file that an earlier run wrote was changed by someone since.
    #[error("{} was changed since it was written, move it or delete it", .0.display())]
    Edited(PathBuf),
    /// A symbolic link where a file or a folder of the set should be.
    #[error("{} is a symbolic link, which is not followed; remove it", .0.display())]
    Link(PathBuf),
    /// A manifest that cannot be read.
    #[error("{}: {why}; move it or choose another folder", path.display())]
    Manifest {
        /// The manifest's path.
        path: PathBuf,
        /// Why.
        why: ManifestError,
    },
    /// The disk refused.
    #[error("cannot {action} {}: {source}", path.display())]
    Io {
        /// What was tried.
        action: &'static str,
        /// On what.
        path: PathBuf,
        /// Why not.
        source: io::Error,
    },
}

/// Adds what was tried, and on what, to an error of the disk.
fn cannot<'a>(action: &'static str, path: &'a Path) -> impl FnOnce(io::Error) -> FilesError + 'a {
    move |source| FilesError::Io { action, path: path.to_owned(), source }
}

impl FileSet {
    /// A set without files.
    #[must_use]
    pub(crate) fn new() -> Self {
        Self::default()
    }

    /// Adds a file.
    ///
    /// # Errors
    /// [`FilesError::BadPath`] for a path that is not plain and relative, that differs from another
    /// only by case, or that needs a folder where the set has a file.
    pub(crate) fn add(&mut self, path: &str, content: Vec<u8>) -> Result<(), FilesError> {
        let bad = |why| FilesError::BadPath { path: path.to_owned(), why };
        plain_path(path).map_err(bad)?;
        let lower = path.to_lowercase();
        for other in self.files.keys().map(|k| k.to_lowercase()) {
            let inside = |a: &str, b: &str| a.strip_prefix(b).is_some_and(|r| r.starts_with('/'));
            if other == lower {
                return Err(bad("another file of the set has the same name"));
            }
            if inside(&other, &lower) || inside(&lower, &other) {
                return Err(bad("it is a file here and a folder there"));
            }
        }
        self.files.insert(path.to_owned(), content);
        Ok(())
    }

    /// Whether the set has a file at this path.
    #[must_use]
    pub(crate) fn has(&self, path: &str) -> bool {
        self.files.contains_key(path)
    }

    /// Puts the set into a folder, which is made if need be, with a manifest that says what it is
    /// about.
    ///
    /// # Errors
    /// [`FilesError`]. The old set is as it was, except where [`FilesError::Io`] names a
    /// rename or a removal: then the next commit finishes the job, as the module says.
    pub(crate) fn commit(
        &self,
        folder: &Path,
        about: serde_json::Value,
        unused: Unused,
    ) -> Result<Committed, FilesError> {
        self.commit_watched(folder, about, unused, &mut || ())
    }

    /// As [`FileSet::commit`]; `before` is called before each step that changes the disk.
    fn commit_watched(
        &self,
        folder: &Path,
        about: serde_json::Value,
        unused: Unused,
        before: &mut dyn FnMut(),
    ) -> Result<Committed, FilesError> {
        let mut lock = locked(folder)?;
        let staging = folder.join(STAGING);
        let old = read_manifest(folder)?;
        let pending = interrupted(&staging)?;
        if let Some(path) = look_into(&staging)?.foreign {
            return Err(FilesError::Foreign(path));
        }
        // Hashes of what is to be and of what is there, on all processors.
        let looked_at: Vec<_> = self
            .files
            .par_iter()
            .map(|(path, content)| (path.clone(), Entry::of(content), on_disk(folder, path)))
            .collect();
        let mut entries = BTreeMap::new();
        let mut done = Committed { recovered: staging.exists(), ..Default::default() };

        // Look at everything before touching anything.
        let ours = |path: &str, found: &Entry| {
            let listed = old.as_ref().and_then(|m| m.files.get(path)) == Some(found);
            listed || pending.get(path).is_some_and(|known| known.contains(found))
        };
        let known = |path: &str| {
            old.as_ref().is_some_and(|m| m.files.contains_key(path)) || pending.contains_key(path)
        };
        for (path, wanted, found) in looked_at {
            match found? {
                Some(found) if found == wanted => done.unchanged.push(path.clone()),
                Some(found) if ours(&path, &found) => done.written.push(path.clone()),
                Some(_) if known(&path) => return Err(FilesError::Edited(target(folder, &path))),
                Some(_) => return Err(FilesError::Foreign(target(folder, &path))),
                None => done.written.push(path.clone()),
            }
            entries.insert(path, wanted);
        }
        let former = old.iter().flat_map(|m| m.files.keys()).chain(pending.keys());
        let (mut left, mut aside_entries) = (BTreeMap::new(), BTreeMap::new());
        for path in former.filter(|p| !entries.contains_key(*p)) {
            match on_disk(folder, path)? {
                Some(found) if ours(path, &found) => match unused {
                    Unused::Remove => done.removed.push(path.clone()),
                    Unused::Keep if is_print_job(path) => {
                        let aside = format!("{ASIDE}/{path}");
                        match on_disk(folder, &aside)? {
                            Some(there) if !ours(&aside, &there) => {
                                done.unused.push(path.clone());
                                left.insert(path.clone(), found);
                            }
                            _ => {
                                done.aside.push(path.clone());
                                aside_entries.insert(aside, found);
                            }
                        }
                    }
                    Unused::Keep | Unused::Others => {
                        done.unused.push(path.clone());
                        left.insert(path.clone(), found);
                    }
                },
                Some(_) => {
                    done.kept.push(path.clone());
                    let listed = old.as_ref().and_then(|m| m.files.get(path));
                    if let (Unused::Others, Some(entry)) = (unused, listed) {
                        left.insert(path.clone(), entry.clone());
                    }
                }
                None => {}
            }
        }
        entries.extend(left);
        entries.extend(aside_entries);
        // What was moved aside before gives way to what is moved there now.
        done.unused.retain(|path| {
            path.strip_prefix(ASIDE).is_none_or(|rest| {
                !done.aside.iter().any(|p| rest.strip_prefix('/') == Some(p.as_str()))
            })
        });
        for list in [&mut done.unused, &mut done.removed, &mut done.kept, &mut done.aside] {
            list.sort_unstable();
            list.dedup();
        }
        let manifest = Manifest::new(about, entries);
        let text = manifest.to_bytes().map_err(|why| bad_manifest(folder, why))?;
        if !done.recovered
            && done.written.is_empty()
            && done.removed.is_empty()
            && done.aside.is_empty()
            && old.as_ref() == Some(&manifest)
        {
            return Ok(done);
        }

        // Stage all.
        let staged = self.stage(&staging, &done.written, &manifest, &text, pending, before);
        if let Err(error) = staged {
            if !done.recovered {
                // Nothing was replaced yet. If even this fails, the next commit clears it.
                let _ = clear(&staging, true);
            }
            return Err(error);
        }

        // Replace, the manifest last.
        let mut folders = vec![folder.to_owned()];
        for (path, number) in done.written.iter().zip(0..) {
            let to = target(folder, path);
            if let Some(parent) = to.parent() {
                before();
                fs::create_dir_all(parent).map_err(cannot("make the folder", parent))?;
                folders.push(parent.to_owned());
            }
            before();
            fs::rename(staging.join(staged_name(number)), &to)
                .map_err(cannot("rename a finished file to", &to))?;
        }
        for path in &done.aside {
            let (from, to) = (target(folder, path), target(folder, &format!("{ASIDE}/{path}")));
            if let Some(parent) = to.parent() {
                before();
                fs::create_dir_all(parent).map_err(cannot("make the folder", parent))?;
                folders.push(parent.to_owned());
            }
            before();
            fs::rename(&from, &to).map_err(cannot("move an earlier file to", &to))?;
        }
        for path in &done.removed {
            let gone = target(folder, path);
            before();
            fs::remove_file(&gone).map_err(cannot("remove", &gone))?;
        }
        folders.sort_unstable();
        folders.dedup();
        for parent in &folders {
            sync_folder(parent)?;
        }
        let to = folder.join(MANIFEST);
        before();
        fs::rename(staging.join(MANIFEST), &to)
            .map_err(cannot("rename a finished file to", &to))?;
        sync_folder(folder)?;
        before();
        clear(&staging, true)?;
        lock.keeps_folder();
        Ok(done)
    }

    fn stage(
        &self,
        staging: &Path,
        written: &[String],
        manifest: &Manifest,
        text: &[u8],
        pending: BTreeMap<String, Vec<Entry>>,
        before: &mut dyn FnMut(),
    ) -> Result<(), FilesError> {
        before();
        fs::create_dir_all(staging).map_err(cannot("make the folder", staging))?;
        clear(staging, false)?;
        for (path, number) in written.iter().zip(0..) {
            before();
            if let Some(content) = self.files.get(path) {
                write_synced(&staging.join(staged_name(number)), content)?;
            }
        }
        before();
        write_synced(&staging.join(MANIFEST), text)?;
        // What an interrupted run may have left stays known until this run is whole.
        let mut journal = pending;
        for (path, entry) in &manifest.files {
            journal.entry(path.clone()).or_default().push(entry.clone());
        }
        let journal = serde_json::to_vec(&journal).map_err(io::Error::from);
        let fresh = staging.join(FRESH_JOURNAL);
        let journal = journal.map_err(cannot("write", &fresh))?;
        before();
        write_synced(&fresh, &journal)?;
        let to = staging.join(JOURNAL);
        before();
        fs::rename(&fresh, &to).map_err(cannot("rename a finished file to", &to))?;
        sync_folder(staging)
    }
}

/// Reads a folder's manifest; `None` if it has none.
///
/// # Errors
/// [`FilesError::Manifest`] for what is no manifest, [`FilesError::Io`] where the disk refuses.
pub(crate) fn read_manifest(folder: &Path) -> Result<Option<Manifest>, FilesError> {
    let path = folder.join(MANIFEST);
    match read_at_most(&path, LARGEST_MANIFEST) {
        Ok(text) => Manifest::parse(&text).map(Some).map_err(|why| bad_manifest(folder, why)),
        // A file in place of the folder holds no manifest either; [`FileSet::commit`] refuses it.
        Err(e) if matches!(e.kind(), io::ErrorKind::NotFound | io::ErrorKind::NotADirectory) => {
            Ok(None)
        }
        Err(e) => Err(cannot("read", &path)(e)),
    }
}

/// A file up to one byte past a limit, so that the reader can tell that there is more. A pipe or a
/// device, which may never end, is refused.
fn read_at_most(path: &Path, limit: u64) -> io::Result<Vec<u8>> {
    if !fs::metadata(path)?.is_file() {
        return Err(io::Error::other("it is no plain file"));
    }
    let mut content = Vec::new();
    File::open(path)?.take(limit + 1).read_to_end(&mut content)?;
    Ok(content)
}

/// Whether a file of a set is sent to the printer as it is.
fn is_print_job(path: &str) -> bool {
    path.starts_with("beds/")
}

fn bad_manifest(folder: &Path, why: ManifestError) -> FilesError {
    FilesError::Manifest { path: folder.join(MANIFEST), why }
}

fn staged_name(number: usize) -> String {
    format!("{number}.part")
}

fn target(folder: &Path, path: &str) -> PathBuf {
    path.split('/').fold(folder.to_owned(), |at, part| at.join(part))
}

/// The lock of a folder, given up when dropped. Where the system can tell files apart (see
/// [`is_the_file`]) its file goes with it; elsewhere it stays, since a run that has opened it already
/// and another that makes it anew would both hold a lock.
#[derive(Debug)]
struct Lock {
    file: File,
    path: PathBuf,
    /// Folders that were made for it, the innermost first; they go with it while they are empty.
    made: Vec<PathBuf>,
}

impl Lock {
    /// The folder has a set: it stays.
    fn keeps_folder(&mut self) {
        self.made.clear();
    }
}

impl Drop for Lock {
    fn drop(&mut self) {
        // An error here leaves an empty file that the next run locks.
        if cfg!(unix) {
            let _ = fs::remove_file(&self.path);
        }
        // Closing the file is not enough: a process that another thread is just starting has a copy
        // of it for a moment, and the lock would last as long. An error leaves what closing does.
        let _ = self.file.unlock();
        for folder in &self.made {
            // Refused unless it is empty.
            let _ = fs::remove_dir(folder);
        }
    }
}

/// Makes the folder and takes its lock.
fn locked(folder: &Path) -> Result<Lock, FilesError> {
    if folder.exists() && !folder.is_dir() {
        return Err(FilesError::NotAFolder(folder.to_owned()));
    }
    let path = folder.join(LOCK);
    let mut made: Vec<PathBuf> = Vec::new();
    for _ in 0..LOCK_TRIES {
        let missing = |f: &&Path| !f.as_os_str().is_empty() && !f.exists();
        made.extend(folder.ancestors().take_while(missing).map(Path::to_owned));
        fs::create_dir_all(folder).map_err(cannot("make the folder", folder))?;
        match fs::symlink_metadata(&path) {
            Ok(meta) if meta.is_symlink() => return Err(FilesError::Link(path)),
            // A pipe of that name would never open.
            Ok(meta) if !meta.is_file() => {
                return Err(cannot("lock", &path)(io::Error::other("it is no plain file")));
            }
            _ => {}
        }
        let file = match File::options().create(true).truncate(false).write(true).open(&path) {
            Ok(file) => file,
            // A run that was refused has just removed the folder that it had made.
            Err(e) if e.kind() == io::ErrorKind::NotFound => continue,
            Err(e) => return Err(cannot("write into the folder: cannot open", &path)(e)),
        };
        match file.try_lock() {
            // The run before may have removed the file between our opening and locking it.
            Ok(()) if !is_the_file(&file, &path) => {}
            Ok(()) => return Ok(Lock { file, path, made }),
            Err(TryLockError::WouldBlock) => break,
            Err(TryLockError::Error(e)) => return Err(cannot("lock", &path)(e)),
        }
    }
    Err(FilesError::Busy(folder.to_owned()))
}

/// Whether an open file is still the one at a path.
#[cfg(unix)]
fn is_the_file(file: &File, path: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;
    let ids = |meta: fs::Metadata| (meta.dev(), meta.ino());
    let (open, there) = (file.metadata().map(ids), fs::symlink_metadata(path).map(ids));
    matches!((open, there), (Ok(open), Ok(there)) if open == there)
}

/// Nobody removes a lock here.
#[cfg(not(unix))]
fn is_the_file(_: &File, _: &Path) -> bool {
    true
}

/// What an interrupted run was about to put into place: every content that a file may have.
fn interrupted(staging: &Path) -> Result<BTreeMap<String, Vec<Entry>>, FilesError> {
    if staging.is_symlink() {
        return Err(FilesError::Link(staging.to_owned()));
    }
    let path = staging.join(JOURNAL);
    let text = match read_at_most(&path, LARGEST_MANIFEST) {
        Ok(text) => text,
        Err(e) if e.kind() == io::ErrorKind::NotFound => return Ok(BTreeMap::new()),
        Err(e) => return Err(cannot("read", &path)(e)),
    };
    let journal: BTreeMap<String, Vec<Entry>> =
        serde_json::from_slice(&text).map_err(io::Error::from).map_err(cannot("read", &path))?;
    for listed in journal.keys() {
        plain_path(listed).map_err(|why| FilesError::BadPath { path: listed.clone(), why })?;
    }
    Ok(journal)
}

/// What lies in the staging folder.
#[derive(Default)]
struct Staged {
    /// Files that a run put there, the journal last.
    ours: Vec<PathBuf>,
    /// What no run puts there.
    foreign: Option<PathBuf>,
}

fn look_into(staging: &Path) -> Result<Staged, FilesError> {
    let mut staged = Staged::default();
    let list = match fs::read_dir(staging) {
        Ok(list) => list,
        Err(e) if e.kind() == io::ErrorKind::NotFound => return Ok(staged),
        Err(e) => return Err(cannot("list", staging)(e)),
    };
    for entry in list {
        let entry = entry.map_err(cannot("list", staging))?;
        let kind = entry.file_type().map_err(cannot("look at", &entry.path()))?;
        let name = entry.file_name();
        let is_staged = name.to_str().is_some_and(|name| {
            let number = name.strip_suffix(".part");
            number.is_some_and(|n| !n.is_empty() && n.bytes().all(|b| b.is_ascii_digit()))
                || [MANIFEST, JOURNAL, FRESH_JOURNAL].contains(&name)
        });
        if is_staged && kind.is_file() {
            staged.ours.push(entry.path());
        } else {
            staged.foreign = Some(entry.path());
        }
    }
    staged.ours.sort_unstable_by_key(|path| path.ends_with(JOURNAL));
    Ok(staged)
}

/// Removes what runs put into the staging folder: all but the journal, or all of it and the folder.
/// What others put there stays, and the folder with it; the next run tells.
fn clear(staging: &Path, whole: bool) -> Result<(), FilesError> {
    let staged = look_into(staging)?;
    for path in staged.ours {
        if whole || !path.ends_with(JOURNAL) {
            fs::remove_file(&path).map_err(cannot("remove", &path))?;
        }
    }
    if whole && staged.foreign.is_none() {
        fs::remove_dir(staging).map_err(cannot("remove", staging))?;
    }
    Ok(())
}

/// The entry of a file as it is on disk; `None` if there is no such file. No link is followed.
fn on_disk(folder: &Path, path: &str) -> Result<Option<Entry>, FilesError> {
    let mut at = folder.to_owned();
    let mut parts = path.split('/').peekable();
    while let Some(part) = parts.next() {
        at.push(part);
        let meta = match fs::symlink_metadata(&at) {
            Ok(meta) => meta,
            Err(e) if e.kind() == io::ErrorKind::NotFound => return Ok(None),
            Err(e) => return Err(cannot("look at", &at)(e)),
        };
        if meta.is_symlink() {
            return Err(FilesError::Link(at));
        }
        // A file where a folder should be, or the other way about.
        if meta.is_dir() != parts.peek().is_some() {
            return Err(FilesError::Foreign(at));
        }
        // A pipe, a socket or a device is nobody's file of a set, and may never open or end.
        if !meta.is_dir() && !meta.is_file() {
            return Err(FilesError::Foreign(at));
        }
    }
    let content = fs::read(&at).map_err(cannot("read", &at))?;
    Ok(Some(Entry::of(&content)))
}

fn write_synced(path: &Path, content: &[u8]) -> Result<(), FilesError> {
    let write = || {
        let mut file = File::create_new(path)?;
        file.write_all(content)?;
        file.sync_all()
    };
    write().map_err(cannot("write", path))
}

/// Makes the renames in a folder last over a loss of power, where the system can.
fn sync_folder(folder: &Path) -> Result<(), FilesError> {
    if cfg!(unix) {
        let sync = File::open(folder).and_then(|f| f.sync_all());
        sync.map_err(cannot("sync the folder", folder))?;
    }
    Ok(())
}

#[cfg(test)]
#[path = "files_tests.rs"]
mod tests;
