package sheet

import (
	"bytes"
	"errors"
	"regexp"
	"testing"

	"github.com/xuri/excelize/v2"
)

var isoDate = regexp.MustCompile(`^(\d{4}(-\d\d(-\d\d)?)?)?$`)

func FuzzRead(f *testing.F) {
	f.Add(append(Template(), "EX-1,Amanita,1,neg,A,B,C,3/10/2026,D,E,45°30'N,7,5,f,g,h,i,j,a1,b2,\"k\nl\"\n"...), "v.csv")
	f.Add([]byte("sep=;\nvoucher;field_id;date\nEX-1;\"A\"\"m\";46298\nEX-1;x;Oct 2026\n"), "v.tsv")
	f.Add([]byte("\xff\xfev\x00,\x00"), "")
	f.Add([]byte("voucher\tfield_id\n\"a\nb\"\"\t\n\"\xe4"), "v.csv")
	book := excelize.NewFile()
	if err := errors.Join(book.SetSheetRow("Sheet1", "A1", &[]any{"voucher", "field_id", "date"}),
		book.SetSheetRow("Sheet1", "A2", &[]any{"EX-1", 5, 46298})); err != nil {
		f.Fatal(err)
	}
	var b bytes.Buffer
	if err := book.Write(&b); err != nil {
		f.Fatal(err)
	}
	f.Add(b.Bytes(), "v.xlsx")
	f.Fuzz(func(t *testing.T, data []byte, name string) {
		lim := Limits{Bytes: 1 << 20, Inflated: 4 << 20, Rows: 1000, Cells: 20000}
		s, err := Read(bytes.NewReader(data), name, Options{Limits: lim})
		if err != nil {
			var e *Error
			if s != nil || !errors.As(err, &e) || e.Problem.What == "" || e.Problem.Hint == "" {
				t.Fatalf("error without a problem: %v", err)
			}
			return
		}
		if len(s.Vouchers) == 0 {
			t.Fatal("no error and no voucher")
		}
		codes := map[string]bool{}
		for _, v := range s.Vouchers {
			if v.Code == "" || codes[v.Code] || len(v.Samples) == 0 || v.Kind == "" || v.Row < 2 || !isoDate.MatchString(v.Date) {
				t.Fatalf("voucher not as promised: %+v", v)
			}
			codes[v.Code] = true
			ids := map[string]bool{}
			for _, sample := range v.Samples {
				if ids[sample.ID] {
					t.Fatalf("sample twice: %+v", v)
				}
				ids[sample.ID] = true
			}
			if v.Latitude != nil && !(*v.Latitude >= -90 && *v.Latitude <= 90) || v.Longitude != nil && !(*v.Longitude >= -180 && *v.Longitude <= 180) {
				t.Fatalf("place out of range: %+v", v)
			}
		}
		for _, p := range s.Problems {
			if p.What == "" || p.Hint == "" {
				t.Fatalf("problem that says nothing: %+v", p)
			}
		}
	})
}

func BenchmarkRead(b *testing.B) {
	var text bytes.Buffer
	text.Write(Template())
	for i := range 1000 {
		text.WriteString("EX-" + columnLetters(i) + ",Amanita sp.,,,A,B,C,2026-10-03,D,E,12.5,7.5,300,soil,Fagus,wood,ITS1F,ITS4,A01,A01,\"a, b\"\n")
	}
	b.SetBytes(int64(text.Len()))
	for b.Loop() {
		if _, err := Read(bytes.NewReader(text.Bytes()), "v.csv", Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
