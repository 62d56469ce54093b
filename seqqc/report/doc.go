// Package report writes a result: tables, JSON and sequences into a folder,
// and a summary for a terminal. It works nothing out; a Model arranges what a
// seqqc.Result holds into rows once, and every format only prints them.
package report
