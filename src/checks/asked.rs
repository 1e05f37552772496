//! What cannot be measured but has to be asked: one finding for the questions of a check, met once all are answered.

use super::finding::counted;
use super::{Finding, Severity, Standing};
use crate::layout::Layout;
use crate::plan::{Label, Question};

/// The finding about those questions. `figures` come before what is asked, for those who want them.
pub(super) fn finding(
    layout: &Layout,
    check: &'static str,
    questions: &[Question],
    figures: &str,
) -> Finding {
    let answers = &layout.plan().head().answers;
    let open: Vec<&str> = questions
        .iter()
        .filter(|q| answers.get(q).is_none_or(Label::is_empty))
        .map(|q| q.asks())
        .collect();
    let (standing, text) = if open.is_empty() {
        let said: Vec<String> = questions
            .iter()
            .filter_map(|q| Some(format!("{}: {}", q.word(), answers.get(q)?.as_str())))
            .collect();
        let text = format!(
            "{figures}Entered as answered, not judged: {}.",
            said.join("; ")
        );
        (Standing::Met, text)
    } else {
        let asks = crate::units::capital(&open.join("; "));
        (Standing::Unknown, format!("{figures}{asks}."))
    };
    Finding::new(check, Severity::Caution, standing, Vec::new(), text)
        .facet("asked")
        .figure(
            Some(counted(open.len())),
            Some(0.0),
            "1",
            "answers as entered on the plan's card",
        )
        .at(layout.room().bounds().centre(), 0.0)
}
