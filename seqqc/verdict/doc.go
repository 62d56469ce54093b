// Package verdict weighs the field name of one voucher against its DNA.
//
// A Case holds everything there is to look at. The rules of the table Rules
// look at it one by one, each knowing nothing of the others, and say what they
// find; Decide alone puts the findings in the order in which a coordinator
// would ask. What no rule can see is undetermined: missing evidence never
// becomes agreement.
//
// Explain then asks what may lie behind a verdict that needs attention. Its
// tables are Explanations (what each cause says and asks for) and Evidence (what
// speaks for and against it, each clue with its weight and the ground of that).
//
// To add a clue: one row in Evidence, its sentence, and a row in the test of the
// first cause.
//
// To add a rule: write its check, add its row to Rules, and add its rows to
// the tests (fires, does not fire, cannot tell, and the pairs it can meet).
package verdict
