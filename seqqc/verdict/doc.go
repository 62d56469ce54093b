// Package verdict weighs the field name of one voucher against its DNA.
//
// A Case holds everything there is to look at. The rules of the table Rules
// look at it one by one, each knowing nothing of the others, and say what they
// find; Decide alone puts the findings in the order in which a coordinator
// would ask. What no rule can see is undetermined: missing evidence never
// becomes agreement.
//
// To add a rule: write its check, add its row to Rules, and add its rows to
// the tests (fires, does not fire, cannot tell, and the pairs it can meet).
package verdict
