//! The page on which a participant types.

use agogic_keys::{Code, UnknownCode};
use agogic_toml::{Found, Mistakes, Section};
use serde::{Deserialize, Serialize};

/// A prompted hold.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HoldPrompt {
    /// The key to hold.
    pub key: Code,
    /// The key to press meanwhile; `None` for a hold alone, as for a click of the mouse.
    #[serde(default)]
    pub target: Option<Code>,
}

/// What a participant reads and is asked to type.
///
/// # Shape
/// A task without prompts is left out. Capitals and shortcuts are made with the dedicated Shift and Control
/// keys; holds are made with ordinary keys, as if those had two roles.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct RecordPage {
    /// Title of the study.
    pub title: String,
    /// Consent text, a paragraph each. Replace it with the text your ethics review approved.
    pub consent: Vec<String>,
    /// Phrases to type.
    pub phrases: Vec<String>,
    /// Phrases with many capitals.
    pub capitals: Vec<String>,
    /// Keys to press under Control. Not W, T or N: browsers keep these for themselves.
    pub shortcuts: Vec<Code>,
    /// Holds.
    pub holds: Vec<HoldPrompt>,
    /// Minutes of free typing; 0 leaves it out.
    pub free_minutes: u32,
    /// What to write about.
    pub free_prompt: String,
}

/// Why a page cannot be made. The texts continue "failed to make the page: …".
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum PageError {
    /// People must be told what they agree to.
    #[error("`consent` is empty; say who runs the study, what for, what is kept, and whom to ask")]
    NoConsent,
    /// There is nothing to type.
    #[error("there is nothing to type: give `phrases`, `capitals`, `shortcuts`, `holds` or `free_minutes`")]
    NoTask,
    /// A prompt is blank or holds a line break.
    #[error("`{list}`, item {item}: a prompt must be one line that is not blank")]
    Prompt {
        /// The list.
        list: &'static str,
        /// Which item, from 1.
        item: usize,
    },
    /// A hold names one key twice, or a key that the page cannot record.
    #[error("`{list}`, item {item}: {code} cannot be prompted here{why}")]
    Key {
        /// The list.
        list: &'static str,
        /// Which item, from 1.
        item: usize,
        /// The key.
        code: Code,
        /// Why, beginning with a punctuation mark.
        why: &'static str,
    },
}

const PAGE: &str = include_str!("../assets/record.html");

/// The script that every page shares which records: the clock, what the keys of a keyboard give, and prompted attempts, whose
/// presses are marked `rejected` where they were not made as asked.
pub const RECORDING_SCRIPT: &str = include_str!("../assets/recording.js");

const PLACEHOLDER: &str = "The researcher has to replace this paragraph: who runs the study and what for, what is \
    recorded and for how long it is kept, who may see it, that taking part is voluntary and may end at any time \
    without a reason, and whom to ask.";

/// Prompts of our own: everyday sentences about an invented harbour.
const PHRASES: [&str; 12] = [
    "the ferry leaves the north pier at half past six",
    "she keeps the spare key under a flat grey stone",
    "wind from the west brings rain before the evening",
    "we counted nine swans asleep behind the breakwater",
    "his map of the channel was drawn from memory",
    "fresh bread is sold from a window by the quay",
    "they paint the hull each spring and argue about blue",
    "a quiet engine is worth more than a quick one",
    "put the lamp out when the last boat is in",
    "the tide table on the wall is five years old",
    "few people expected the old crane to work again",
    "just beyond the sandbank the water turns green",
];

const CAPITALS: [&str; 6] = [
    "Ada and Jonas met Karin in Oslo on Friday",
    "The Bell of Saint Olaf rang in May and June",
    "Did Peter row to Lark Island or to Gull Rock",
    "Write to Dr Hanna Foss, Harbour Street, Bergen",
    "On Sunday Kofi and Lena sail the Sea Thrift",
    "Ask Mister Quist about the USB lamp and the VHF set",
];

impl Default for RecordPage {
    fn default() -> Self {
        let code = |name: &str| name.parse::<Code>().expect("prompts name known keys");
        let hold =
            |key: &str, target: &str| HoldPrompt { key: code(key), target: (!target.is_empty()).then(|| code(target)) };
        let pairs = [("KeyF", "KeyJ"), ("KeyJ", "KeyF"), ("KeyD", "KeyK"), ("KeyK", "KeyD"), ("KeyS", "KeyL")];
        let little = [("KeyA", "KeyO"), ("Semicolon", "KeyE")];
        let more = [("KeyL", "KeyS"), ("KeyF", "KeyU"), ("KeyJ", "KeyE"), ("KeyF", ""), ("KeyJ", "")];
        let round: Vec<HoldPrompt> =
            pairs.iter().chain(&little).chain(&more).map(|(key, target)| hold(key, target)).collect();
        Self {
            title: "A study of how people type".to_owned(),
            consent: [PLACEHOLDER, "How you type is personal: like handwriting, it can tell who you are."]
                .map(str::to_owned)
                .to_vec(),
            phrases: PHRASES.map(str::to_owned).to_vec(),
            capitals: CAPITALS.map(str::to_owned).to_vec(),
            shortcuts: ["KeyB", "KeyI", "KeyS", "KeyK", "KeyZ", "KeyB", "KeyI", "KeyS", "KeyK", "KeyZ"]
                .map(code)
                .to_vec(),
            holds: [round.clone(), round].concat(),
            free_minutes: 3,
            free_prompt: "Describe a way you know well, from a door to another door.".to_owned(),
        }
    }
}

impl RecordPage {
    /// Reads what a page says and asks; what is left out is as in [`RecordPage::default`].
    ///
    /// # Shape
    /// `title` and `free_prompt` are texts, `consent`, `phrases` and `capitals` lists of texts, `shortcuts` a list of W3C
    /// codes, `free_minutes` a whole number; each table `[[holds]]` has a `key` and may have a `target`. An empty list
    /// leaves a task out.
    ///
    /// # Errors
    /// All mistakes at once, with line and key.
    pub fn from_toml(source: &str) -> Result<Self, Mistakes> {
        agogic_toml::read(source, |root| {
            let mut page = Self::default();
            for (key, place) in [("title", &mut page.title), ("free_prompt", &mut page.free_prompt)] {
                *place = root.text(key).map_or_else(|| std::mem::take(place), |found| found.value);
            }
            for (key, place) in
                [("consent", &mut page.consent), ("phrases", &mut page.phrases), ("capitals", &mut page.capitals)]
            {
                *place = root.texts(key).map_or_else(|| std::mem::take(place), |found| found.value);
            }
            if let Some(keys) = root.text_items("shortcuts") {
                page.shortcuts = keys.value.iter().filter_map(|found| code(root, found)).collect();
            }
            if root.contains("holds") {
                page.holds = root.sections("holds").iter().filter_map(hold).collect();
            }
            let minutes = root.whole_within("free_minutes", u64::from(page.free_minutes), 0..=u64::from(u32::MAX));
            page.free_minutes = u32::try_from(minutes).expect("it lies within the range");
            Some(page)
        })
    }

    /// Whether the consent text is still the one that asks to be replaced. Such a page may be looked at, but
    /// nobody should be asked to type on it.
    pub fn consent_is_placeholder(&self) -> bool {
        self.consent.iter().any(|text| text == PLACEHOLDER)
    }

    /// Minutes that a participant takes, about.
    ///
    /// # Source
    /// Assumed: 10 s a phrase, 4 s a shortcut or hold, at some 40 words a minute.
    pub fn minutes(&self) -> u32 {
        let texts = 10 * (self.phrases.len() + self.capitals.len());
        let gestures = 4 * (self.shortcuts.len() + self.holds.len());
        ((texts + gestures) as u32).div_ceil(60) + self.free_minutes
    }

    /// The page: one HTML file that needs nothing else and speaks to nobody.
    ///
    /// # Errors
    /// There is no consent text or nothing to type, or a prompt cannot be shown or recorded.
    pub fn render(&self) -> Result<String, PageError> {
        self.check()?;
        // Inside a script element only `<` could end it, and JSON strings may hold it escaped.
        let plan = serde_json::to_string(self).expect("a page is plain data").replace('<', "\\u003c");
        let minutes = match self.minutes() {
            1 => "about a minute".to_owned(),
            more => format!("about {more} minutes"),
        };
        let consent: Vec<String> = self.consent.iter().map(|text| format!("<p>{}</p>", escaped(text))).collect();
        let mut page = String::with_capacity(PAGE.len() + plan.len());
        // One pass over the template: what is put in is never looked at again.
        for (number, part) in PAGE.split('¤').enumerate() {
            match part {
                "TITLE" => page += &escaped(&self.title),
                "CONSENT" => page += &consent.join("\n  "),
                "PLAN" => page += &plan,
                "MINUTES" => page += &minutes,
                "RECORDING" => page += RECORDING_SCRIPT,
                other => {
                    debug_assert!(number % 2 == 0, "`¤` stands in the template for slots alone");
                    page += other;
                }
            }
        }
        Ok(page)
    }

    fn check(&self) -> Result<(), PageError> {
        if self.consent.iter().all(|text| text.trim().is_empty()) {
            return Err(PageError::NoConsent);
        }
        let lists = [("phrases", &self.phrases), ("capitals", &self.capitals)];
        if lists.iter().all(|(_, list)| list.is_empty())
            && self.shortcuts.is_empty()
            && self.holds.is_empty()
            && self.free_minutes == 0
        {
            return Err(PageError::NoTask);
        }
        for (list, prompts) in lists {
            let bad = |text: &String| text.trim().is_empty() || text.contains(char::is_control);
            if let Some(place) = prompts.iter().position(bad) {
                return Err(PageError::Prompt { list, item: place + 1 });
            }
        }
        // Tab leaves the field and Escape pauses, so that nobody is caught in it.
        let unseen = |code: Code| ["Tab", "Escape"].contains(&code.name());
        for (place, code) in self.shortcuts.iter().enumerate() {
            let why = match code.name() {
                "KeyW" | "KeyT" | "KeyN" => ": browsers keep Control with it for themselves",
                _ if unseen(*code) => ": the page does not record it",
                _ if code.dedicated_modifier().is_some() => ": it is itself a modifier",
                _ => continue,
            };
            return Err(PageError::Key { list: "shortcuts", item: place + 1, code: *code, why });
        }
        for (place, hold) in self.holds.iter().enumerate() {
            let item = place + 1;
            if let Some(code) = [Some(hold.key), hold.target].into_iter().flatten().find(|code| unseen(*code)) {
                return Err(PageError::Key { list: "holds", item, code, why: ": the page does not record it" });
            }
            if hold.target == Some(hold.key) {
                let why = ": a key cannot be pressed while it is held";
                return Err(PageError::Key { list: "holds", item, code: hold.key, why });
            }
        }
        Ok(())
    }
}

/// A key; `None` only where a mistake was logged.
fn code(section: &Section<'_, '_>, found: &Found<String>) -> Option<Code> {
    found.value.parse().map_err(|unknown: UnknownCode| section.diagnostics().at(found, unknown.to_string())).ok()
}

/// `None` only where a mistake was logged.
fn hold(section: &Section<'_, '_>) -> Option<HoldPrompt> {
    if !section.contains("key") {
        section.missing("key", "is missing; name the key to hold, such as key = \"KeyF\"");
    }
    let given = ["key", "target"].map(|key| section.text(key).map(|found| code(section, &found)));
    section.finish();
    let [key, target] = given;
    let target = match target {
        None => None,
        Some(target) => Some(target?),
    };
    Some(HoldPrompt { key: key??, target })
}

fn escaped(text: &str) -> String {
    text.chars().fold(String::with_capacity(text.len()), |mut out, c| {
        match c {
            '&' => out += "&amp;",
            '<' => out += "&lt;",
            '>' => out += "&gt;",
            '"' => out += "&quot;",
            other => out.push(other),
        }
        out
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_page_needs_no_network_and_holds_the_prompts() {
        assert!(RecordPage::default().consent_is_placeholder());
        let page = RecordPage::default().render().unwrap();
        for outside in ["http:", "https:", "//cdn", "src=", "@import", "url(", "fetch(", "XMLHttpRequest", "sendBeacon"]
        {
            assert!(!page.contains(outside), "{outside}");
        }
        assert!(page.contains("default-src 'none'"));
        assert!(page.contains("the ferry leaves the north pier"));
        assert!(!page.contains('¤') && !page.contains("PLAN"));
        assert_eq!(RecordPage::default().minutes(), 9);
        assert!(page.contains("It takes about 9 minutes"));
        // Keys are listened to in the field, never on the page.
        assert_eq!(page.matches("\"keydown\"").count(), page.matches("field.addEventListener(\"keydown\"").count());
        assert_eq!(page.matches("\"keyup\"").count(), page.matches("field.addEventListener(\"keyup\"").count());
    }

    #[test]
    fn what_is_put_in_stays_text() {
        let page = RecordPage {
            title: "A <b> & \"c\" ¤PLAN¤".to_owned(),
            consent: vec!["</p><script>alert(1)</script>¤TITLE¤".to_owned()],
            phrases: vec!["</script><img onerror=alert(1)>".to_owned()],
            ..RecordPage::default()
        };
        assert!(!page.consent_is_placeholder());
        let html = page.render().unwrap();
        assert!(!html.contains("<script>alert") && !html.contains("<img"));
        assert!(html.contains("A &lt;b&gt; &amp; &quot;c&quot; ¤PLAN¤"));
        let plan = html.split("id=\"plan\">").nth(1).unwrap().split("</script>").next().unwrap();
        assert_eq!(serde_json::from_str::<RecordPage>(plan).unwrap(), page);
    }

    #[test]
    fn mistakes_are_refused_with_their_place() {
        let of = |change: fn(&mut RecordPage)| {
            let mut page = RecordPage::default();
            change(&mut page);
            page.render().unwrap_err().to_string()
        };
        assert!(of(|page| page.consent = vec![" ".to_owned()]).contains("consent"));
        assert!(of(|page| page.phrases[3] = "a\nb".to_owned()).contains("`phrases`, item 4"));
        assert!(of(|page| page.shortcuts[1] = "KeyW".parse().unwrap()).contains("item 2: KeyW"));
        assert!(of(|page| page.holds[0].target = Some("KeyF".parse().unwrap())).contains("item 1: KeyF"));
        assert!(of(|page| page.holds[0].key = "Tab".parse().unwrap()).contains("does not record"));
        let empty = RecordPage {
            phrases: vec![],
            capitals: vec![],
            shortcuts: vec![],
            holds: vec![],
            free_minutes: 0,
            ..RecordPage::default()
        };
        assert_eq!(empty.render(), Err(PageError::NoTask));
    }

    #[test]
    fn a_page_is_read_back_and_all_its_mistakes_are_told() {
        let text = toml::to_string_pretty(&RecordPage::default()).unwrap();
        assert_eq!(RecordPage::from_toml(&text).unwrap(), RecordPage::default());
        let page = RecordPage::from_toml("holds = []\nshortcuts = [\"KeyB\"]\nfree_minutes = 0\n").unwrap();
        assert!(page.holds.is_empty() && page.shortcuts.len() == 1 && page.free_minutes == 0);
        assert_eq!(page.phrases, RecordPage::default().phrases);
        let wrong = "titel = \"A\"\nphrases = [\"low tide\",\n  7]\nshortcuts = [\"KeyB\", \"Bee\"]\nfree_minutes = -1\n\
                     [[holds]]\ntarget = \"KeyJ\"\n[[holds]]\nkey = \"KeyF\"\ntarget = \"Jay\"\nwith = 1\n";
        let mistakes = RecordPage::from_toml(wrong).unwrap_err();
        let places: Vec<_> = mistakes.0.iter().map(|mistake| (mistake.line.unwrap(), mistake.key.as_str())).collect();
        let expected = [
            (1, "titel"),
            (3, "phrases[2]"),
            (4, "shortcuts[2]"),
            (5, "free_minutes"),
            (6, "holds[1].key"),
            (10, "holds[2].target"),
            (11, "holds[2].with"),
        ];
        assert_eq!(places, expected);
        assert!(mistakes.0[0].message.contains("did you mean `title`?"), "{mistakes}");
    }
}
