package sheet

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
)

func TestEncodings(t *testing.T) {
	const text = "voucher;field_id;locality\r\nÄ-1;Amanita;Bächlein – „Ufer“, 5 €\r\n"
	for name, enc := range map[string]encoding.Encoding{
		"UTF-8":                    encoding.Nop,
		"UTF-8 with mark":          unicode.UTF8BOM,
		"UTF-16 LE with mark":      unicode.UTF16(unicode.LittleEndian, unicode.UseBOM),
		"UTF-16 BE with mark":      unicode.UTF16(unicode.BigEndian, unicode.UseBOM),
		"UTF-16 LE without a mark": unicode.UTF16(unicode.LittleEndian, unicode.IgnoreBOM),
		"UTF-16 BE without a mark": unicode.UTF16(unicode.BigEndian, unicode.IgnoreBOM),
		"Windows-1252":             charmap.Windows1252,
	} {
		t.Run(name, func(t *testing.T) {
			data, err := enc.NewEncoder().String(text)
			require.NoError(t, err)
			s, err := Read(strings.NewReader(data), "v.csv", Options{})
			require.NoError(t, err)
			require.Empty(t, s.Problems)
			require.Equal(t, "Ä-1", s.Vouchers[0].Code)
			require.Equal(t, "Bächlein – „Ufer“, 5 €", s.Vouchers[0].Locality)
		})
	}
	// The bytes of Windows-1252 as published (0x80 is the euro sign, 0xE4 the
	// letter ä; Unicode consortium, CP1252.TXT, from memory), without our
	// encoder.
	s, err := Read(strings.NewReader("voucher,field_id\nEX-\xe4,5 \x80\n"), "v.csv", Options{})
	require.NoError(t, err)
	require.Equal(t, "EX-ä", s.Vouchers[0].Code)
	require.Equal(t, "5 €", s.Vouchers[0].FieldID)
}

func TestLostCharactersAreNamed(t *testing.T) {
	s, err := Read(strings.NewReader("voucher,field_id\nEX-1,Am\ufffdnita\n"), "v.csv", Options{})
	require.NoError(t, err)
	require.Len(t, s.Problems, 2)
	require.Equal(t, 2, s.Problems[1].Line)
	require.Contains(t, s.Problems[1].What, "are lost")
}

func TestInvisibleCharacters(t *testing.T) {
	s, err := Read(strings.NewReader("voucher,field_id\n\ufeffEX-\u200b1\u00a0,Amanita \u00a0 sp.\n\"EX\n2\",x\n"), "v.csv", Options{})
	require.NoError(t, err)
	require.Equal(t, "EX-1", s.Vouchers[0].Code)
	require.Equal(t, "Amanita sp.", s.Vouchers[0].FieldID)
	require.Equal(t, "EX 2", s.Vouchers[1].Code)
}
