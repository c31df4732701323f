"""The text of each note by its code: what was found, how much it matters, what to do.

How the fields are filled in is said in `note_forms`; a few sentences fork more than a text can
say, and stand in `check_notes`.
"""

from __future__ import annotations

from rodhours.words.note_forms import Text

DILUTED = "That says what being told to fish a bait brings: swaps water it down towards 1, but why "
DILUTED += "they were made cannot flatter it."

OF_A_COMPARISON = {
    "adjust_by_rod": Text(
        "Logged, but not allowed for: {columns:listed}.",
        "If one bait had the best one more often, that is in the answer.",
        "Try {columns:adjust}.",
    ),
    "as_planned": Text(
        "Baits are compared here as planned, not as fished: {departed:number} of {planned:the "
        "planned stint} ({numbers:share departed planned}) had another one. "
        "{unplanned:?{unplanned:count stint} without a plan stood aside.|}",
        DILUTED,
    ),
    "batch_apart": Text(
        "Batch {batch} of {variant} caught at {rate_ratio:ratio} times ({limits}) the rate of the "
        "other batches, over all trips: {fish:count fish} against {other_fish:number}.",
        "Batches of one recipe differ here by more than trips do, and an answer for the recipe "
        "mixes them.",
        "Look at what differed: how it was made, its age, the part of the season it was fished in.",
    ),
    "batch_off_recipe": Text(
        "The answer for {variant} counts stints with {batches:a batch off its recipe|batches off "
        "their recipe}: {batches:listed}.",
        "Without {batches:it|them} {without}. {each:alone}",
        "The answer is for what was in the water, not for the recipe; rodhours batch list says "
        "what is off. Go by the one without it where you mean the recipe.",
    ),
    "blind_alone": Text(
        "Without the trips that came after the key was opened, {variant} caught "
        "{rate_ratio:times} as fast as the reference ({limits}), on {trips:count trip}."
    ),
    "clumping": Text(
        "Fish came in clumps: {uneven:?a good trip gives {good_trip:number 1} times a usual one"
        "|trips hardly differ}"
        "{runs:?, and one bait on one trip has its own runs beyond that|}.",
        "The limits allow for it{width_ratio:?: they are {width_ratio:number 2} times as far apart "
        "(as ratios) as if every fish came by itself|}.",
        "More trips help; more rods on the same trips do much less.",
    ),
    "column_constant_within_trips": Text(
        "The same-trip answer needs no adjusting for {column:column}: it is the same for all "
        "baits of a trip.",
        "So it cannot favour one of them.",
        "Only the all-trips answer is adjusted for it.",
    ),
    "column_not_used": Text("The answer is not adjusted for {column:column}: {reason}."),
    "doubles": Text(
        "Of {trips:count trip}, {pairs:count pair} {pairs:says|say} the same of day, hours, baits "
        "and fish, as one trip written down twice would: {pairs:pairs}.",
        "Trips counted twice make every answer look firmer than it is.",
        "See rodhours history, and take the second import back with rodhours undo NUMBER; leave a "
        "single trip out with rodhours leave-out.",
    ),
    "earlier_seasons": Text(
        "How uneven trips are is taken from {trips:count earlier trip} too, since so few cannot "
        "tell. From this season alone {variant} caught {rate_ratio:times} as fast ({limits}): "
        "{verdict_alone:verdict}.",
        "The ratio is this season’s own either way.",
    ),
    "favourite_conditions": Text(
        "The all-trips answer {flatters:?flatters|hides} {variant}: {all_trips_ratio:times} the "
        "reference’s rate, but {same_trips_ratio:times} on the same trips.",
        "Chance seldom does that; fishing it more on the {flatters:?good|poor} trips does.",
        "Go by the same trips.",
    ),
    "few_fish": Text(
        "Few fish: {baits}.",
        "One more or less would move this a good deal; the limits allow for it.",
        "Fish on.",
        "{fish:number} on {variant} against {reference_fish:number} on the reference",
    ),
    "fish_not_known": Text(
        "Of {concerned:the fish} concerned, {unknown:number} {unknown:has|have} {numbers:lacking} "
        "in the log ({by_variant:each on}).",
        "Not counted, they may all the same be {numbers:wanted}.",
        "List every fish in catches with its {numbers:needed}, small ones too.",
    ),
    "fish_not_weighed": Text(
        "Of {of:the landed fish}, {unweighed:number} {unweighed:was|were} not weighed "
        "({by_variant:each on}).",
        "If small fish went back unweighed, the weights here flatter the bait that caught them.",
        "Weigh every fish, or every fish of a rod.",
    ),
    "gaps_in_the_log": Text(
        "{missing_numbers:?Trip {missing_numbers:some} {missing_numbers:is|are} missing between "
        "the numbers of the {sessions:count trip} in the log. |}"
        "{missing_months:?There is no trip in {missing_months:months}, though there are trips "
        "before and after.|}",
        "{missing_numbers:?If {missing_numbers:it was a blank|they were blanks}, all catch rates "
        "are {rate_factor:times} what they should be; a comparison is moved only where one bait "
        "was out more on the missing trips.|If trips were left out there, the log does not speak "
        "for that time; which way an answer moves by it cannot be said.}",
        "Add what was fished and not written down, the blanks above all. If nothing was, all is "
        "well.",
    ),
    "goes_along": Text(
        "There is no ratio for {variant}: it goes along with {columns:listed}, and nothing tells "
        "the two apart.",
        what_to_do="Fish it and the reference in the same {columns:listed}, or leave out --adjust.",
    ),
    "hidden_conditions": Text(
        "If {baits} as good as the reference’s for reasons nobody logged (water, weather, season), "
        "that alone would bring the nearer limit of the all-trips answer to 1.",
        "The log could then no longer say which is ahead.",
        "Ask yourself whether they were; trips with both side by side settle it.",
        "{variant}’s trips had been {factor:times}",
    ),
    "left_out": Text(
        "Left out of this answer {sessions:is|are} {sessions:left_out}.",
        "Left out for how it was fished or logged, a trip costs no more than its hours; left out "
        "for what it caught, good or bad, it bends the answer, and the limits know nothing of it.",
        # A sentence may not begin with a command: its first letter would be made a capital.
        "To count {sessions:it|the first} again, type rodhours leave-out "
        "{sessions[0][session]:quoted} --take-back at any time.",
    ),
    "lift_differs": Text(
        "In water, by the sizes in the recipes, {baits}; the reference {reference_lift_g:lift}.",
        "Baits that sit differently over the same rig may catch differently for that alone; how "
        "much, the log cannot say.",
        "Make them to the same size over the same cork, or match the hook and rig to the lift "
        "(rodhours lift).",
        "{variant} {lift_g:lift} ({difference_g:size 2} g apart, where {tolerance_mm:number 1} mm "
        "of making tolerance brings {tolerance_g:number 2} g)",
    ),
    "lost_from_catches": Text(
        "Lost fish are counted as catches lists them, since no stint has a count of its own: a "
        "stint without one there is taken to have lost none.",
        "If lost fish were written down only now and then, do not trust this answer.",
        "Fill in the column lost of stints; that makes it firm.",
    ),
    "lost_not_logged": Text(
        "{stints:count stint} ({rod_hours:hours}) {stints:was|were} left out, because the log does "
        "not say how many fish were lost there.",
        "The answer is about the rest: an empty cell is not none.",
        "Write 0 in the column lost where none was.",
    ),
    "mostly_indirect": Text(
        "Few trips had the bait and the reference together: {baits}.",
        "The rest compare them by way of a third bait.",
        "Fish them side by side.",
        "{variant} on {shared_sessions:number} of {sessions:number}",
    ),
    "no_catches": Text(
        "The log does not list its fish one by one, so it cannot say which were {numbers:wanted}.",
        what_to_do="List each fish in a table catches (session, rod, {numbers:needed}) and import "
        "it with the stints of those sessions.",
    ),
    "no_count_of_lost": Text(
        "The log has no count of lost fish.",
        what_to_do="Write it in the column lost of stints, 0 where none was lost, or list lost "
        "fish in catches with the outcome lost.",
    ),
    "no_fish": Text(
        "No fish yet: {baits}.",
        "The log can say how good {notes:it is|these are} at most, not how good.",
        "Give {notes:it|them} more hours before you drop {notes:it|them} for good.",
        "{variant} in {rod_hours:hours}",
    ),
    "no_fish_on_reference": Text(
        "The reference has caught no fish in {rod_hours:hours}.",
        "So no ratio and no upper limit exist.",
        "Give the reference more hours, or compare with another one (--reference).",
    ),
    "no_fit": Text(
        "No answer could be worked out{variant:? for {variant}|} from {basis:basis}.",
        "The log holds too little there.",
        "More trips with fish on them are needed; with --adjust, ask for fewer columns.",
    ),
    "no_same_trips": Text(
        "There is no same-trip answer for {variant}: {reason:why} ({variant} and the reference "
        "shared {shared_sessions:count trip}).",
        "The same trips were asked for, so no answer is given in its place.",
        "Fish them side by side on every trip.",
    ),
    "not_same_trips": Text(
        "{baits} {notes:is|are} answered from all trips: {reason:why}.",
        "All trips cannot tell a better bait from better days.",
        "Fish them side by side on every trip.",
        "{variant} ({shared_sessions:count trip} with both)",
    ),
    "one_angler_carries": Text(
        "The answer for {variant} hangs on one angler: {angler}.",
        "Without them {without}.",
        "See that their trips are logged as the others’ are, and fish on until the others say the "
        "same; rodhours summary --by angler has what each brought.",
    ),
    "one_batch_carries": Text(
        "The answer for {variant} hangs on one batch: {batch} of {batch_of}.",
        "Without it {without}.",
        "See that this batch was made and logged right, make another to the same recipe, and fish "
        "on until other batches say the same.",
    ),
    "one_of_several": Text(
        "{variant} was picked out, and {others:count other bait} stood by.",
        "If that was for how it looked, the limits of {baits:number} baits looked at together hold "
        "for it: {limits}, and the verdict is “{verdict:verdict}”.",
        "To see them all, name no bait.",
    ),
    "one_variant": Text(
        "Only one bait is in the chosen rows.",
        "So there is nothing to compare it with.",
        "Log a second bait fished on the same trips.",
    ),
    "opened_early": Text(
        "The key of rotation {plan} was opened on {opened_on}, with {blind:number} of "
        "{planned:count planned trip} in; {after:?{after:count trip} of it came after|no trip of "
        "it has come since}.",
        "{after:?Whoever knows the bag may give it the better spot, or stop while it is ahead."
        "|Trips still to come are not blind.}",
        "{after:?Trips fished before the opening but imported later were blind all the same.|}",
    ),
    "plan_departed": Text(
        "{departed:number} of {planned:the planned stint} ({numbers:share departed planned}) had "
        "another bait than planned: {towards:each to}{rods:?, {rods:each on rod}|}.",
        "A bait that is put on where fish show gets their credit."
        "{answers:? By the bait planned, {answers:departed}. " + DILUTED + "|}",
        "Where a swap followed what a rod showed, go by the answer as planned (--as-planned).",
    ),
    "red_letter_trip": Text(
        "The answer for {variant} hangs on one trip: {numbers:trip}{date:? ({date})|}, {fish:count "
        "fish} against {reference_fish:?{reference_fish:number}|none} on the reference.",
        "Without it {without}{verdict_changes:?, and “{verdict_without:verdict}” instead of "
        "“{verdict:verdict}”|}.",
        "Check its entry, leave it in, and fish on.",
    ),
    "reference_chosen": Text(
        "No reference was given: {reference} was taken{shared_rod_hours:? for the most rod-hours "
        "on shared trips ({shared_rod_hours:hours}), not for its catch|}.",
        what_to_do="Choose another with --reference.",
    ),
    "rods_not_logged": Text(
        "The log does not say which rod or spot each bait was on.",
        "A same-trip answer cannot see whether the best rod or spot was kept for one bait.",
        "Log the rod and the spot, and swap the baits round between the rods.",
    ),
    "rods_unfished": Text(
        "Of the rods planned, {share:percent} are missing."
        "{empty:? Nothing is said of {empty:each with}.|}"
        "{unfished:? Not fished were {unfished:each with}.|}",
        "{bait:?More of them are of {bait} than chance would often have it. If it was left out "
        "because it blanked, it looks better than it is.|If they were left out because they "
        "blanked, all catch rates are too high.}",
        "Fill in each rod of a trip, a blank as 0; no figuring afterwards mends it.",
    ),
    "several_species": Text(
        "Several species are weighed together here: {species:each}.",
        "A bait that draws another species is not one that draws bigger fish.",
        "Ask for one species with --species.",
    ),
    "size_reference_chosen": Text(
        "No reference was given: {reference} was taken, because it has the most weighed fish "
        "({weighed:number}).",
        what_to_do="Choose another with --reference.",
    ),
    "small_difference": Text(
        "The difference between {variant} and the reference is small.",
        "Both limits lie within {margin:margin} times either way.",
        "Whether that is worth the trouble is for you to say.",
    ),
    "stints_left_out": Text(
        "{stints:count stint} ({rod_hours:hours}, {fish:count fish}) {stints:was|were} left out "
        "because {column:column} is not logged there.",
        "The answer is about the rest.",
        "Fill it in, or compare without adjusting for it.",
    ),
    "too_few_trips": Text(
        "Too few trips: {sessions:count trip} for {variant}, with as many baits and columns as "
        "were asked for.",
        "They cannot carry an answer.",
        "More trips, or fewer --adjust columns, would.",
    ),
    "too_many_unknown": Text(
        "There is no answer for {numbers:wanted}: {unknown:number} of the {concerned:count fish} "
        "concerned ({numbers:share unknown concerned}) have {numbers:lacking} in the log "
        "({by_variant:each on}), and no more than {most:percent} may.",
        "List each fish in catches with its {numbers:needed}.",
        "{weighs_lost:?Lost fish are seldom weighed: ask for --outcome landed.|}",
    ),
    "trips_are_stays": Text(
        "The {trips:count trip} with a date and a water are {stays:count stay}: several are days "
        "in a row on one water.",
        "What a stay has in common (weather, fish in front of you) is counted anew with each of "
        "its days, {trips_a_stay:number 1} to a stay, so the limits are too close where each bait "
        "had stays of its own.",
        "Go by the answer with --trips-are stays, unless you packed up and began afresh each day.",
    ),
    "trips_waiting": Text(
        "{absent:?{absent:count trip} {absent:waits|wait} outside this answer{fish:?, with "
        "{fish:count fish}|}, beside the {counted:number} in the logbook: not all of their rows "
        "could be taken. |}{twice:?{twice:count probable double} {twice:is|are} held back.|}",
        "{absent:?Trips with a slip in them need not be like the others: which way they move it "
        "nobody can say.|They are in the answer already, as their twins.}",
        "Mend or drop them; rodhours waiting says what each needs.",
    ),
    "unlogged_blanks": Text(
        "Blanks seem to be missing from the log: trips that catch as these do would bring more. "
        "It looks as if {logged_share:percent} of the blanks were written down and {missing:about "
        "trip} left out.",
        "All catch rates are too high by it{rate_ratio_corrected:?. With those trips allowed for, "
        "{variant} over all trips would come out at {rate_ratio_corrected:times} the reference’s "
        "rate instead of {rate_ratio:times}|; what it does to a comparison cannot be said here}.",
        "Write down every trip, the blanks above all, and add those you can still find. If none "
        "was left out, take it that your trips differ less than they seem to.",
    ),
    "whole_days": Text(
        "Nearly all hours ({share:percent} of {stints:count stint}) are multiples of {step}.",
        "A bait that was in the water for 10 h and is written 24 h looks less than half as good "
        "as it is. If all baits were rounded alike, little is lost.",
        "Write down when each bait went in and came out (cast_in, cast_out).",
    ),
}
OF_AN_INGREDIENT = {
    "bend": Text(
        "The line bends more than chance alone would bend it.",
        "One ratio for every step is an average only.",
        "Go by the curve.",
    ),
    "favourite_conditions": Text(
        "The all-trips answer {flatters:?flatters|hides} {column:name}: {numbers:step} went with "
        "{all_trips_ratio:times} the catch rate over all trips, but {same_trips_ratio:times} on "
        "the same trips.",
        "That is a wider gap than chance alone would often leave; fishing baits with more of it "
        "on the {flatters:?good|poor} trips does that.",
        "Go by the same trips.",
    ),
    "few_fish": Text(
        "Few fish: {below:count fish} below and {above:count fish} above the middle of the range "
        "({middle:amount}).",
        "One fish more or less would move this answer a good deal; the limits allow for that.",
        "Only more trips will narrow them.",
    ),
    "lack_of_fit": Text(
        "The baits lie further from the line than chance alone would put them.",
        "Something else than this ingredient makes them differ, or the line has another shape.",
        "Go by the baits one by one: rodhours compare",
    ),
    "moves_together": Text(
        "{column:Name} and {other:name} were always changed together, so this log cannot tell "
        "them apart.",
        "What stands here under {column:name} may be the work of {other:name}, or of both.",
        "Fish a bait that changes one of the two alone.",
    ),
    "no_fish": Text(
        "No fish in {rod_hours:hours}.",
        "There is nothing to draw a line through.",
        "Fish on and log the blanks too.",
    ),
    "not_same_trips": Text(
        "This answer comes from all trips, not from the same trips: {reason:why_no_step} "
        "({contrasting_sessions:count trip} had that).",
        "It cannot tell {column:name} from better days.",
        "Fish baits that differ in it side by side on every trip.",
    ),
    "other_differences": Text(
        "The baits also differ in {columns:names}.",
        "The line does not allow for that.",
        "See what the baits do one by one: rodhours compare",
    ),
    "recipe_missing": Text(
        "{stints:count stint} ({rod_hours:hours}, {fish:count fish}) {stints:was|were} left out, "
        "because the {variants:recipe|recipes} of {variants:listed} {variants:does|do} not say "
        "the {column:name}.",
        "The answer is about the rest.",
        "Fill it in in the variants table.",
    ),
    "runs_off": Text(
        "The fish came to the baits {end} in {column:name} of what was in the water, and to no "
        "other.",
        "The line could go as steeply as you like: there is a limit on one side alone.",
        "More trips with all baits in the water will give it the other.",
    ),
    "step_beyond_range": Text(
        "The step of {per:amount} is longer than the range that was fished ({span:amount}).",
        "The ratio goes beyond what the log has seen.",
        "Take a smaller --per.",
    ),
    "step_chosen": Text(
        "The step of {per:amount} was taken from the range that was fished.",
        what_to_do="Ask for another with --per.",
    ),
    "too_few_trips": Text(
        "Too few trips: {sessions:count trip} with as many columns as were asked for.",
        "They cannot carry an answer.",
        "More trips, or fewer --adjust columns, would.",
    ),
    "two_values": Text(
        "Only two values were fished ({values[0]:amount} and {values[1]:amount}).",
        "Nothing here can show whether what lies between them follows a straight line.",
        "A bait in between would.",
    ),
    "variants_not_linked": Text(
        "{variants:listed} {variants:was|were} never fished beside the other baits.",
        "Only the all-trips answer has {variants:it|them}.",
        "Fish all baits side by side.",
    ),
}
"""Where a note names no bait; some of these codes mean another thing of a bait."""
