//! The form for a new car: code picked or typed, plate, complaint, the sum that is agreed.

use app::sheet_file::ListedSheet;
use maud::{Markup, html};

use super::{back_to, frame, once, said::Said};

/// The form.
pub(crate) fn new_car(sheets: &[ListedSheet]) -> Markup {
    let main = html! {
        h1 { "New car" }
        (once("/new", &html! {
            fieldset {
                legend { "Fault code" }
                @for sheet in sheets {
                    @for code in &sheet.codes {
                        label.pick {
                            input type="radio" name="sheet" value={ (Said(&sheet.id)) " " (Said(code)) };
                            span { b { (Said(code)) } " " (Said(&sheet.title)) }
                        }
                    }
                }
                label.pick {
                    input type="radio" name="sheet" value="none";
                    span { b { "No sheet" } " tray, torque, loose ends and papers only" }
                }
                label { "or type it"
                    input name="code" autocomplete="off" autocapitalize="characters" maxlength="12" placeholder="P0299";
                }
            }
            label { "Plate or nickname"
                input name="plate" autocomplete="off" autocapitalize="characters" maxlength="40" required;
            }
            label { "What you were told"
                textarea name="complaint" rows="3" maxlength="2000" {}
            }
            label { "Agreed up to"
                input name="sum" inputmode="decimal" autocomplete="off" maxlength="12";
            }
            details {
                summary { "More" }
                label { "Vehicle" input name="vehicle" autocomplete="off" maxlength="120"; }
                label { "Odometer, km" input name="odometer" inputmode="decimal" autocomplete="off" maxlength="12"; }
                label { "Owner" input name="owner" autocomplete="off" maxlength="120"; }
                label { "Owner's telephone" input name="phone" type="tel" autocomplete="off" maxlength="40"; }
            }
            button.dark.big { "Take it in" }
        }))
    };
    frame("New car", &back_to("/", "Cars on hand"), &main)
}
