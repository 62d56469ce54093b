package sheet_test

import (
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/seqqc"
	"forayseq/seqqc/sheet"
)

func readTable(t *testing.T, text string) *sheet.Table {
	t.Helper()
	table, problems, err := sheet.ReadTable(strings.NewReader(text), "reads.csv")
	require.NoError(t, err)
	require.Empty(t, problems)
	return table
}

func TestReadTable(t *testing.T) {
	table, problems, err := sheet.ReadTable(strings.NewReader(
		"File;Voucher;sample;Primer;run;note\nx.ab1;FC-1;2;ITS4;r3;hm\n;FC-2;;;;\ny.ab1;;2;;;\nz.ab1;FC-1;;;;;;more\n"), "reads.csv")
	require.NoError(t, err)
	require.Equal(t, sheet.TableRow{File: "x.ab1", Voucher: "FC-1", Sample: "2", Primer: "ITS4", Run: "r3", Row: 2}, table.Rows[0])
	require.Len(t, table.Rows, 2)
	require.Len(t, problems, 3)
	require.Equal(t, []int{3, 4, 5}, []int{problems[0].Line, problems[1].Line, problems[2].Line})

	_, _, err = sheet.ReadTable(strings.NewReader("name,voucher\nx,FC-1\n"), "reads.csv")
	require.ErrorIs(t, err, sheet.ErrMissingColumn)
	require.ErrorContains(t, err, "there is no column file")
	table, problems, err = sheet.ReadTable(strings.NewReader(""), "reads.csv")
	require.NoError(t, err)
	require.Empty(t, problems)
	require.Empty(t, table.Rows)
}

func TestTableGoesBeforeNames(t *testing.T) {
	reads := []*seqqc.Read{
		{File: "reads/FC-1_ITS1F.ab1"}, {File: "reads/lab.zip/in/q7.ab1"}, {File: "reads/set.fasta#one"}, {File: "reads/set.fasta#two"},
	}
	table := readTable(t, "file,voucher,sample,primer,run\n"+
		"FC-1_ITS1F.ab1,FC-2,,,\n"+ // the user's word against the name
		`lab.zip\in\Q7,fc_1,rerun,its4,r9`+"\n"+ // other slashes, case, no extension
		"set.fasta,FC-3,,,\n")
	vouchers := club("FC-1", "FC-2", "FC-3")
	require.Empty(t, sheet.Tie(vouchers, reads, table))
	require.Equal(t, "FC-2", reads[0].Voucher)
	require.Equal(t, "ITS1-F", reads[0].Primer)
	require.Equal(t, "FC-1", reads[1].Voucher)
	require.Equal(t, "rerun", reads[1].Sample)
	require.Equal(t, "ITS4", reads[1].Primer)
	require.Equal(t, seqqc.Reverse, reads[1].Direction)
	require.Equal(t, "r9", reads[1].Run)
	require.Equal(t, "FC-3", reads[2].Voucher)
	require.Equal(t, "FC-3", reads[3].Voucher)
	require.Len(t, vouchers[0].Samples, 2, "a sample of the table is added to its voucher")
}

func TestTableThatDoesNotFit(t *testing.T) {
	file := func(path, bases string) *seqqc.Read {
		return &seqqc.Read{File: path, Trace: &seqqc.Trace{Bases: []byte(bases)}}
	}
	reads := []*seqqc.Read{file("reads/a/x.ab1", "ACGT"), file("reads/b/x.ab1", "GGGG"), file("reads/FC-2.ab1", "A"),
		file("reads/a/y.ab1", "ACGT"), file("reads/lab.zip/y.ab1", "ACGT"), file("reads/w.ab1", "A")}
	table := readTable(t, "file,voucher,sample\n"+
		"x.ab1,FC-1,\n"+ // two files that differ
		"gone.ab1,FC-1,\n"+
		"FC-2.ab1,FC-77,\n"+ // no such voucher
		"y.ab1,FC-1,\n"+ // one file twice
		"w.ab1,FC-1,\nw.ab1,FC-2,\n")
	problems := sheet.Tie(club("FC-1", "FC-2"), reads, table)
	var said []string
	for _, p := range problems {
		if p.File == "reads.csv" {
			said = append(said, p.What)
			require.True(t, p.Unread)
		}
	}
	require.Equal(t, []string{
		"x.ab1 fits 2 files that differ, reads/a/x.ab1 and reads/b/x.ab1 among them",
		"there is no read gone.ab1",
		"voucher FC-77 is not in the sheet",
		"w.ab1 is already in row 6 with another voucher or sample",
	}, said)
	require.Empty(t, reads[0].Voucher)
	require.Equal(t, "row 4 of reads.csv names voucher FC-77, which is not in the sheet", reads[2].Untied)
	require.Equal(t, "FC-1", reads[3].Voucher)
	require.Equal(t, "FC-1", reads[4].Voucher)
	require.Equal(t, "rows 6 and 7 of reads.csv give it to FC-1 and FC-2", reads[5].Untied)
	for _, r := range reads {
		require.NotEqual(t, r.Voucher == "", r.Untied == "", r.File)
	}
}

func TestErrorNamesPlaceAndWayOut(t *testing.T) {
	_, _, err := sheet.ReadTable(strings.NewReader("# lists\nname\nx\n"), "reads.csv")
	var e *sheet.Error
	require.True(t, errors.As(err, &e))
	require.Equal(t, 2, e.Problem.Line)
	require.EqualError(t, err, `reads.csv, row 2: there is no column file; the headings are "name"; `+
		"name the column file (for a sheet, the setting columns can say which heading means it)")
}
