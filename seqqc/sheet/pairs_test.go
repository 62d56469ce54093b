package sheet_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/seqqc/sheet"
)

func ExampleReadPairs() {
	list := "\ufeffAccepted;Name;note\nSuillellus luridus;Boletus luridus;moved\n;Boletus\n"
	pairs, problems, err := sheet.ReadPairs(strings.NewReader(list), "names.csv", "name", "accepted")
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(pairs)
	for _, p := range problems {
		fmt.Println(p.Line, p.Field, p.What)
	}
	// Output:
	// [{Boletus luridus Suillellus luridus 2}]
	// 3 Accepted the cell is empty
}

func TestReadPairs(t *testing.T) {
	for _, text := range []string{
		"name,accepted\nA,B\n", "NAME\tACCEPTED\nA\tB\n", "name;accepted\r\n\"A\";\"B\"\r\n", "# a comment\nname,accepted\n\nA,B\n",
	} {
		pairs, problems, err := sheet.ReadPairs(strings.NewReader(text), "x", "name", "accepted")
		require.NoError(t, err, text)
		require.Empty(t, problems, text)
		require.Len(t, pairs, 1, text)
		require.Equal(t, "A", pairs[0].First)
		require.Equal(t, "B", pairs[0].Second)
	}
	_, _, err := sheet.ReadPairs(strings.NewReader("name,other\nA,B\n"), "x.csv", "name", "accepted")
	require.ErrorIs(t, err, sheet.ErrMissingColumn)
	_, _, err = sheet.ReadPairs(strings.NewReader("name,\"acc\nA,B\n"), "x.csv", "name", "accepted")
	require.Error(t, err)
	pairs, problems, err := sheet.ReadPairs(strings.NewReader(""), "x.csv", "name", "accepted")
	require.NoError(t, err)
	require.Empty(t, pairs)
	require.Empty(t, problems)
}
