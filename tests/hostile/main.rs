//! Hostile input: noise, damaged files and bombs for the four readers (job file, survey, quantity,
//! manifest). None panics, overflows the stack or takes long, and each refusal has a place.
//!
//! Every input that once failed lies in `failures/`, in a folder named after its reader, and is read
//! again by each run. `fuzz/` feeds the same properties from a coverage-guided fuzzer.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod holds;

use std::fs;
use std::path::Path;
use std::time::{Duration, Instant};

use proptest::prelude::*;

/// A text is read whole and its first quarter alone. Work that goes with the length takes 4 times as long,
/// with its square 16 times; between the two is what caches and buffers that grow may add.
const MOST_FOR_FOUR_TIMES: f64 = 9.0;
/// Less time than this says nothing.
const TELLING: Duration = Duration::from_millis(30);
/// A processor that others use as well may spoil one measurement, and not three.
const TRIES: usize = 3;

type Reader = fn(&[u8]);

const READERS: [(&str, Reader); 4] = [
    ("job", holds::job),
    ("survey", holds::survey),
    ("quantity", holds::quantity),
    ("manifest", holds::manifest),
];

/// Sound texts to damage, by reader.
fn sound(reader: &str) -> Vec<Vec<u8>> {
    let texts: &[&str] = match reader {
        "job" => &[
            include_str!("../../params/one-lamp.toml"),
            include_str!("../../params/quillmere-stories.toml"),
            include_str!("../../params/orchard-supper.toml"),
            include_str!("../../params/thimbleford-inches.toml"),
        ],
        "survey" => &[
            include_str!("../../params/thimbleford-survey.csv"),
            "name;girth [cm];diameter-toward;diameter-across;fixtures;box;lean\n\
             \"a;b\";88;30;29;2;yes;3 deg\n# no trunk\n\nc;1,13;;;;;\n",
        ],
        "quantity" => &[
            "44 1/2 in",
            "3 ft 8 1/2 in",
            "1 h 30 min",
            "-35.5 deg",
            "20 °C",
            "1.2e3",
            "-2½ \"",
            "2 lb 4 oz",
            "1/8 in",
            "5 kPa",
        ],
        "manifest" => &[MANIFEST, MANIFEST_1, "{ \"format\": 3 }"],
        _ => &[],
    };
    texts.iter().map(|text| text.as_bytes().to_vec()).collect()
}

const MANIFEST_1: &str = r#"{ "format": 1, "about": { "sizes": [ { "kind": "cradle", "mark": "A",
    "shape": "1a34d3332f915703", "face_radius": 147.8, "half_width": 34.56, "girth_from": 432.4,
    "girth_to": 6000.0 } ], "trunks": [ { "name": "Pear", "girth": 880.0, "cradle": "cradle-a",
    "cradles": 1, "rail": null, "rails": 0 } ] }, "files": { "print/cradle-a.stl": { "bytes": 3,
    "sha256": "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad" } } }"#;

const MANIFEST: &str = r#"{ "format": 2, "about": { "prints": [ { "kind": "cradle", "mark": "A",
    "size": { "face_radius_mm": 147.8, "half_width_mm": 34.56, "girth_from_mm": 432.4,
    "girth_to_mm": 6000.0 }, "copies": 2, "spare": 1, "design": 1,
    "interface": { "cradle": { "gap_mm": 100.8, "pivot_hole_mm": 5.5 } },
    "material": { "polymer": "petg", "infill": 0.25 }, "shape": { "height_mm": 76.4 },
    "proven": { "lamp_kg": 0.48, "gust_m_per_s": 20.0 } },
    { "kind": "box", "copies": 1, "design": 1, "interface": { "box": { "glands_mm": [16.0],
    "receiver_holes_mm": [[-20.0, 10.0]] } } } ],
    "trunks": [ { "name": "Pear", "girth_mm": 880.0, "cradle": "cradle-a", "cradles": 1,
    "rail": null, "rails": 0 } ] }, "files": { "print/cradle-a.stl": { "bytes": 3,
    "sha256": "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad" } } }"#;

/// What breaks readers: bytes that are no UTF-8, invisible marks, line ends, extreme numbers, and
/// the marks of the formats.
const SPARKS: [&[u8]; 40] = [
    b"\xff",
    b"\xc3",
    b"\xed\xa0\x80",
    b"\0",
    b"\x1b[31m",
    b"\r\n",
    b"\r",
    b"\n",
    b"\xef\xbb\xbf",
    "\u{202e}".as_bytes(),
    "\u{2028}".as_bytes(),
    "½".as_bytes(),
    "−".as_bytes(),
    b"nan",
    b"-inf",
    b"1e308",
    b"1e-320",
    b"9223372036854775808",
    b"-0",
    b"1/0",
    b"0x7f",
    b"1_000",
    b"\"",
    b"\"\"\"",
    b"'",
    b"[",
    b"]",
    b"[[",
    b"{",
    b"}",
    b"=",
    b",",
    b";",
    b"\t",
    b"#",
    b".",
    b"..",
    b"\\u0000",
    b"[[trunk]]\n",
    b"2027-02-30",
];

/// One way to damage a text. Places are parts of its length.
#[derive(Debug, Clone)]
enum Damage {
    Insert(f64, Vec<u8>),
    Delete(f64, usize),
    Duplicate(f64, usize, u8),
    Swap(f64, f64, usize),
    Truncate(f64),
    Flip(f64, u8),
    LineEnds,
    Mark,
}

impl Damage {
    fn on(&self, text: &mut Vec<u8>) {
        let length = text.len();
        let at = |share: f64| ((length as f64 * share) as usize).min(length);
        let piece = |share: f64, count: usize| at(share)..(at(share) + count).min(length);
        match self {
            Self::Insert(share, bytes) => {
                text.splice(at(*share)..at(*share), bytes.iter().copied());
            }
            Self::Delete(share, count) => {
                text.drain(piece(*share, *count));
            }
            Self::Duplicate(share, count, times) => {
                let copy = text[piece(*share, *count)].repeat(usize::from(*times));
                text.splice(at(*share)..at(*share), copy);
            }
            Self::Swap(from, to, count) => {
                let moved: Vec<u8> = text.drain(piece(*from, *count)).collect();
                let to = at(*to).min(text.len());
                text.splice(to..to, moved);
            }
            Self::Truncate(share) => text.truncate(at(*share)),
            Self::Flip(share, bits) => {
                if let Some(byte) = text.get_mut(at(*share)) {
                    *byte ^= bits;
                }
            }
            Self::LineEnds => {
                *text = String::from_utf8_lossy(text).replace('\n', "\r\n").into_bytes();
            }
            Self::Mark => {
                text.splice(0..0, *b"\xef\xbb\xbf");
            }
        }
    }
}

fn damage() -> impl Strategy<Value = Damage> {
    let share = || 0.0..=1.0_f64;
    let spark = prop::sample::select(SPARKS.to_vec()).prop_map(<[u8]>::to_vec);
    let bytes = prop_oneof![4 => spark, 1 => prop::collection::vec(any::<u8>(), 1..9)];
    prop_oneof![
        6 => (share(), bytes).prop_map(|(at, bytes)| Damage::Insert(at, bytes)),
        3 => (share(), 1..40_usize).prop_map(|(at, n)| Damage::Delete(at, n)),
        2 => (share(), 1..200_usize, 1..40_u8).prop_map(|(at, n, k)| Damage::Duplicate(at, n, k)),
        2 => (share(), share(), 1..60_usize).prop_map(|(a, b, n)| Damage::Swap(a, b, n)),
        1 => share().prop_map(Damage::Truncate),
        3 => (share(), 1..=255_u8).prop_map(|(at, bits)| Damage::Flip(at, bits)),
        1 => Just(Damage::LineEnds),
        1 => Just(Damage::Mark),
    ]
}

/// Time that this thread has been on a processor, where the system tells; else the clock's. Others on the
/// machine do not count.
fn on_processor() -> Duration {
    static START: std::sync::LazyLock<Instant> = std::sync::LazyLock::new(Instant::now);
    let told = fs::read_to_string("/proc/thread-self/schedstat").ok();
    let nanoseconds = told.and_then(|t| t.split_whitespace().next()?.parse().ok());
    nanoseconds.map_or_else(|| START.elapsed(), Duration::from_nanos)
}

/// How many times longer the whole takes than its first quarter; none when both take too short a time to
/// tell.
fn growth(work: &dyn Fn(&[u8]), bytes: &[u8]) -> Option<f64> {
    let time = |bytes: &[u8]| {
        let start = on_processor();
        work(bytes);
        on_processor().saturating_sub(start)
    };
    let (quarter, whole) = (time(&bytes[..bytes.len() / 4]), time(bytes));
    (whole > TELLING).then(|| whole.as_secs_f64() / quarter.as_secs_f64().max(1e-9))
}

/// The least of a few measurements, which the others on the machine have spoiled least.
fn least_growth(work: &dyn Fn(&[u8]), bytes: &[u8]) -> f64 {
    let mut least = f64::INFINITY;
    for _ in 0..TRIES {
        least = least.min(growth(work, bytes).unwrap_or(0.0));
        if least < MOST_FOR_FOUR_TIMES {
            break;
        }
    }
    least
}

/// The measure of the tests below tells work that grows with the square of a text from work that does not.
#[test]
fn a_square_is_told_from_a_line() {
    let pairs = |bytes: &[u8]| {
        let sum: u64 = bytes
            .iter()
            .map(|a| bytes.iter().filter(|b| std::hint::black_box(**b) == *a).count() as u64)
            .sum();
        std::hint::black_box(sum);
    };
    let each = |bytes: &[u8]| {
        for _ in 0..20_000 {
            std::hint::black_box(bytes.iter().filter(|b| std::hint::black_box(**b) == 7).count());
        }
    };
    let bytes = vec![7_u8; 12_000];
    let (square, line) = (least_growth(&pairs, &bytes), least_growth(&each, &bytes));
    assert!(square >= MOST_FOR_FOUR_TIMES && line < MOST_FOR_FOUR_TIMES, "{square} {line}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(if cfg!(debug_assertions) { 300 } else { 1500 }))]

    #[test]
    fn noise_is_read_or_refused(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        READERS.iter().for_each(|(_, reader)| reader(&bytes));
    }

    #[test]
    fn noise_of_the_formats_own_marks_is_read_or_refused(
        pieces in prop::collection::vec(prop::sample::select(SPARKS.to_vec()), 0..60)
    ) {
        let bytes = pieces.concat();
        READERS.iter().for_each(|(_, reader)| reader(&bytes));
    }

    #[test]
    fn damaged_files_are_read_or_refused(
        which in any::<prop::sample::Index>(),
        damages in prop::collection::vec(damage(), 1..6)
    ) {
        for (name, reader) in READERS {
            let all = sound(name);
            let mut bytes = all[which.index(all.len())].clone();
            damages.iter().for_each(|damage| damage.on(&mut bytes));
            reader(&bytes);
        }
    }
}

#[test]
fn sound_texts_are_read() {
    for text in sound("job") {
        assert!(bolewright::params::read(&String::from_utf8(text).unwrap()).is_ok());
    }
    let survey = sound("survey").swap_remove(0);
    let survey = bolewright::params::read_survey(&String::from_utf8(survey).unwrap());
    assert_eq!(survey.problems, []);
    for text in [MANIFEST_1, MANIFEST] {
        let manifest = bolewright::formats::Manifest::parse(text.as_bytes()).unwrap();
        let read = bolewright::documents::PreviousManifest::read(manifest);
        assert!(read.is_ok(), "{read:?}");
    }
}

#[test]
fn past_failures_stay_mended() {
    let top = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/hostile/failures");
    let mut count = 0;
    for (name, reader) in READERS {
        let Ok(list) = fs::read_dir(top.join(name)) else { continue };
        let mut paths: Vec<_> = list.map(|entry| entry.unwrap().path()).collect();
        paths.sort_unstable();
        for path in paths {
            println!("{}", path.display());
            reader(&fs::read(&path).unwrap());
            count += 1;
        }
    }
    assert!(count > 0, "{} holds no failure to try", top.display());
}

/// Texts as large as they may be, each of which asks for work that grows faster than the text.
#[test]
fn large_texts_take_no_longer_than_their_length() {
    let [job, survey] =
        ["job", "survey"].map(|r| String::from_utf8(sound(r).swap_remove(0)).unwrap());
    let fill = |piece: &str| piece.repeat(1_900_000 / piece.len());
    let jobs = [
        ("brackets", fill("[")),
        ("inline tables", format!("x = {}", fill("{a="))),
        ("a dotted key", format!("{}a = 1", fill("a."))),
        ("headers that nest", fill("[a.b.c]\n")),
        ("lines that are none", format!("{job}{}", fill("= 1\n"))),
        ("the same key", fill("a = 1\n")),
        ("unknown keys", (0..120_000).map(|i| format!("k{i} = 1\n")).collect()),
        (
            "unknown keys among broken lines",
            (0..100_000).map(|i| format!("k{i} = 1\n= 1\n")).collect(),
        ),
        ("one broken line", format!("x = {}", fill("= "))),
        ("trunks", format!("{job}{}", fill("[[trunk]]\nname = \"t\"\ngirth = 900\n"))),
        ("entries", format!("{job}{}", fill("[[gland]]\nsize = \"M16\"\n"))),
        ("a quoted text", format!("x = \"{}\"", fill("\u{1F332}"))),
    ];
    let surveys = [
        ("columns", fill("a,")),
        ("one column again and again", fill("girth,")),
        (
            "bad cells",
            format!("name,girth,height,lean,fixtures,box\n{}", "a,b,c,d,e,f\n".repeat(4_999)),
        ),
        ("quotes", format!("{survey}{}", fill("\""))),
        ("cells in one line", format!("{survey}{}", fill(","))),
        ("remarks", format!("{}{survey}", fill("#\n"))),
        ("blank lines", format!("{survey}{}", fill("\r\n"))),
        ("trunks", format!("{survey}{}", fill("t,900\n"))),
    ];
    let manifests = [
        ("brackets", fill("[")),
        ("tables", fill("{\"format\":")),
        ("digits", format!("{{\"format\": {}", fill("9"))),
        ("files", format!("{{\"format\":1,\"about\":{{}},\"files\":{{{}", fill("\"a\":{},"))),
    ];
    type Texts<'a> = &'a [(&'a str, String)];
    let all: [(&str, Reader, Texts<'_>); 3] = [
        ("job", holds::job, &jobs),
        ("survey", holds::survey, &surveys),
        ("manifest", holds::manifest, &manifests),
    ];
    for (name, reader, texts) in all {
        for (what, text) in texts {
            println!("{name} of {what}");
            let times = least_growth(&reader, &text.as_bytes()[..text.len().min(2_000_000)]);
            assert!(times < MOST_FOR_FOUR_TIMES, "{name} of {what}: {times:.1} times for 4 times");
        }
    }
    let times = least_growth(&holds::quantity, fill("1 ft ").as_bytes());
    assert!(times < MOST_FOR_FOUR_TIMES, "quantity: {times:.1} times for 4 times");
}
