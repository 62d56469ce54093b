// Package sheet reads a batch's voucher sheet and ties reads to its vouchers.
//
// [Read] takes the sheet as a club keeps it: comma, semicolon or tab separated
// text in the usual encodings, or an .xlsx workbook. What a cell could mean in
// more than one way is never guessed: it is settled by the whole column, or
// left out and named as a problem with its row and heading. [ReadTable] takes
// the optional list of files, and [Tie] says which voucher each read belongs
// to.
package sheet
