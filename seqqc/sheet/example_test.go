package sheet_test

import (
	"fmt"
	"strings"

	"forayseq/seqqc"
	"forayseq/seqqc/sheet"
)

func ExampleRead() {
	text := "Fundnummer;field_id;eventDate;decimalLatitude;Geruch\n" +
		"EX-0001;Amanita sp.;25/09/2026;12,3456;mild\n" +
		"EX-0002;Russula;03/10/2026;;\n"
	s, err := sheet.Read(strings.NewReader(text), "vouchers.csv", sheet.Options{
		Columns: map[string]string{"Fundnummer": "voucher"},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, v := range s.Vouchers {
		fmt.Println(v.Row, v.Code, v.FieldID, v.Date, v.Kind, v.Extra)
	}
	for _, p := range s.Problems {
		fmt.Printf("row %d, column %s: %s\n", p.Line, p.Field, p.What)
	}
	// Output:
	// 2 EX-0001 Amanita sp. 2026-09-25 specimen map[Geruch:mild]
	// 3 EX-0002 Russula 2026-10-03 specimen map[]
	// row 2, column longitude: there is a latitude but no longitude
}

func ExampleTie() {
	vouchers := []seqqc.Voucher{
		{Code: "FC-0012", Samples: []seqqc.Sample{{}}},
		{Code: "FC-0123", Samples: []seqqc.Sample{{}}},
	}
	reads := []*seqqc.Read{
		{File: "reads/A01_FC-0123_ITS1F.ab1"},
		{File: "reads/fc0012-ITS4_B02_2026-10-03.ab1"},
		{File: "reads/FC-0123-0012_ITS4.ab1"},
	}
	sheet.Tie(vouchers, reads, nil)
	for _, r := range reads {
		fmt.Printf("%s: %q %s %s %s.\n", r.File, r.Voucher, r.Primer, r.Direction, r.Untied)
	}
	// Output:
	// reads/A01_FC-0123_ITS1F.ab1: "FC-0123" ITS1-F forward .
	// reads/fc0012-ITS4_B02_2026-10-03.ab1: "FC-0012" ITS4 reverse .
	// reads/FC-0123-0012_ITS4.ab1: "" ITS4 reverse FC-0123 stands in the name only as part of what may be a longer code.
}

func ExampleReadTable() {
	table, problems, err := sheet.ReadTable(strings.NewReader("file,voucher,primer\nplate7_03.ab1,EX-0001,ITS4\n"), "reads.csv")
	fmt.Println(table.Rows[0].File, table.Rows[0].Voucher, table.Rows[0].Primer, len(problems), err)
	// Output: plate7_03.ab1 EX-0001 ITS4 0 <nil>
}

func ExampleTemplate() {
	heading, _, _ := strings.Cut(string(sheet.Template()), ",country")
	fmt.Println(heading)
	// Output: voucher,field_id,sample,kind,collector,identified_by,institution,date
}
