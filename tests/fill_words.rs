//! The words of an answer: three wordings of the claim and no other, and the one sentence that holds the count against
//! the one hoped for.

use aislewright::fill::{Answer, Claim, StoppedBy};

fn answer(printers: u32, bound: u32, claim: Claim) -> Answer {
    Answer {
        printers,
        pinned: 0,
        added: printers,
        bound,
        claim,
        carried: None,
        lattice_mm: Some(304.8),
        lattice_words: Some("12 in".to_owned()),
        assumptions: Vec::new(),
        set_aside: Vec::new(),
        steps: 1,
        stopped_by: StoppedBy::Steps,
        placements: Vec::new(),
    }
}

#[test]
fn a_claim_has_three_wordings() {
    let words = |claim| answer(54, 66, claim).words();
    assert_eq!(words(Claim::Proved), "proved: no arrangement holds more");
    assert_eq!(words(Claim::ProvedOnLattice), "proved on the 12 in lattice");
    assert_eq!(
        words(Claim::Found),
        "found; no arrangement can hold more than 66"
    );
}

#[test]
fn one_sentence_holds_the_count_against_the_one_hoped_for() {
    let proved = answer(54, 54, Claim::Proved);
    let found = answer(54, 66, Claim::Found);
    let lattice = answer(54, 60, Claim::ProvedOnLattice);
    let none_more = "no arrangement of the racks chosen";
    assert_eq!(
        proved.against(Some(60), false),
        format!("60 hoped for; the floor holds 54: {none_more} holds more.")
    );
    assert_eq!(
        proved.against(Some(54), false),
        "54 hoped for; the floor holds 54."
    );
    assert_eq!(
        proved.against(None, false),
        format!("The floor holds 54: {none_more} holds more.")
    );
    assert_eq!(
        lattice.against(Some(60), false),
        format!("60 hoped for; the floor holds 54: {none_more} on the 12 in lattice holds more.")
    );
    assert_eq!(
        found.against(Some(60), true),
        "60 hoped for; at most 66 by the bound; 54 found so far."
    );
    assert_eq!(
        found.against(None, false),
        "At most 66 by the bound; 54 found."
    );
}
