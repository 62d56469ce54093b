package draw

import (
	"encoding/xml"
	"errors"
	"flag"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/seqqc"
	"forayseq/seqqc/doubts"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// hostile is text that would break out of an element or an attribute.
const hostile = "a\"b'<script>alert(1)</script>]]>&amp;\x00\u202e--><svg onload=x>"

func strand(file string) doubts.Strand {
	return doubts.Strand{
		File: file, Call: "G", Quality: 12, Qualities: true, Major: "G", Minor: "A", MinorPct: 35,
		Peaks: &doubts.Peaks{
			A: []int{0, 20, 0, 35, 0}, C: []int{0, 0, 0, 0, 0}, G: []int{0, 0, 50, 100, 0}, T: []int{0, 50, 100, 50, 0},
			Bases: []doubts.PeakBase{{X: 250, Base: "A", Quality: 40}, {X: 500, Base: "T", Quality: 30}, {X: 750, Base: "G", Quality: 12, Doubt: true}},
			Mark:  750, Noise: 5,
		},
	}
}

func contig(file string) *seqqc.Contig {
	c := &seqqc.Contig{
		Reads: []seqqc.ReadPlacement{
			{File: file, On: seqqc.Interval{Start: 0, End: 60}, Of: seqqc.Interval{Start: 5, End: 65}},
			{File: "r.ab1", On: seqqc.Interval{Start: 20, End: 80}, Of: seqqc.Interval{Start: 0, End: 60}, Complemented: true},
		},
		Region: seqqc.Region{Located: true, ITS1: seqqc.Interval{Start: 2, End: 30}, R58S: seqqc.Interval{Start: 30, End: 50}, ITS2: seqqc.Interval{Start: 50, End: 80}},
	}
	for i := range 80 {
		c.Bases = append(c.Bases, "ACGT"[i%4])
		c.Quals = append(c.Quals, byte(i))
	}
	return c
}

// pictures are one of each kind, with text of a given origin wherever a name
// may stand.
func pictures(text string) map[string]SVG {
	read := &seqqc.Read{File: text, Primer: text, Trace: &seqqc.Trace{Quals: make([]byte, 70)}}
	for i := range read.Trace.Quals {
		read.Trace.Quals[i] = byte(70 - i)
	}
	reads := func(file string) *seqqc.Read {
		if file == text {
			return read
		}
		return nil
	}
	return map[string]SVG{
		"peaks":  Peaks("p", strand(text)),
		"key":    Key("k"),
		"contig": Contig("c", contig(text), []doubts.Card{{At: 40}, {At: 50, Settled: true}}, reads),
		"identity": Identity("i", Scale{
			Limits:  []Limit{{"class", 80.9}, {"order", 81.2}, {"family", 88.5}, {"genus", 94.3}, {"species", 99.6}},
			Hits:    []Limit{{text, 99.82}, {"next genus", 91}},
			Spreads: []Spread{{text, 96, 98.5, 100}},
		}),
		"plate": Plate("w", text, 8, 12, []Well{
			{0, 0, "agr", text, Fine}, {7, 11, "conf", text, Look}, {3, 4, text, "und", Unsure},
		}),
		"tree": Tree("t", &seqqc.Tree{Taxon: text, Nodes: []seqqc.TreeNode{
			{Parent: -1}, {Parent: 0, Length: 3, Voucher: text, Name: text}, {Parent: 0, Length: 1},
			{Parent: 2, Length: 2, Name: text, References: []string{"SYN1", text}}, {Parent: 2, Length: 1.5, Voucher: "V-2"},
		}}),
	}
}

func TestGoldenPictures(t *testing.T) {
	for name, svg := range pictures("QM-1 Russula") {
		path := filepath.Join("testdata", name+".svg")
		if *update {
			require.NoError(t, os.WriteFile(path, []byte(svg+"\n"), 0o644))
		}
		want, err := os.ReadFile(path)
		require.NoError(t, err)
		require.Equal(t, string(want), string(svg)+"\n", name)
	}
}

// Every picture is well-formed XML with a role, a title and a description that
// its label names, uses only drawing elements and no attribute that could fetch
// or run anything, whatever the text.
func TestPicturesAreSafe(t *testing.T) {
	elements := map[string]bool{"svg": true, "title": true, "desc": true, "path": true, "rect": true, "circle": true, "text": true, "g": true}
	attributes := map[string]bool{
		"class": true, "role": true, "viewBox": true, "aria-labelledby": true, "id": true, "d": true,
		"x": true, "y": true, "width": true, "height": true, "cx": true, "cy": true, "r": true,
	}
	for name, svg := range pictures(hostile) {
		seen := map[string]int{}
		ids := map[string]bool{}
		label := ""
		for dec := xml.NewDecoder(strings.NewReader(string(svg))); ; {
			tok, err := dec.Token()
			if errors.Is(err, io.EOF) {
				break
			}
			require.NoError(t, err, name)
			switch el := tok.(type) {
			case xml.StartElement:
				require.True(t, elements[el.Name.Local], "%s: element %s", name, el.Name.Local)
				seen[el.Name.Local]++
				for _, a := range el.Attr {
					require.True(t, attributes[a.Name.Local], "%s: attribute %s", name, a.Name.Local)
					switch a.Name.Local {
					case "id":
						ids[a.Value] = true
					case "aria-labelledby":
						label = a.Value
					}
				}
			case xml.Comment, xml.ProcInst, xml.Directive:
				require.Fail(t, "no such thing in a picture", "%s: %v", name, el)
			}
		}
		require.Equal(t, 1, seen["svg"], name)
		require.Equal(t, 1, seen["desc"], name)
		require.NotEmpty(t, label, name)
		for _, id := range strings.Fields(label) {
			require.True(t, ids[id], "%s: %s", name, id)
		}
		require.NotContains(t, string(svg), "\x00")
		require.NotContains(t, string(svg), "\u202e")
		require.NotContains(t, string(svg), "NaN")
	}
}

// In a window the lines of the bases differ in class, which stands for colour
// and dash, and every call has its letter.
func TestPeaksTellBasesApart(t *testing.T) {
	svg := string(Peaks("p", strand("f.ab1")))
	for _, class := range []string{`class="tr A"`, `class="tr G"`, `class="tr T"`} {
		require.Contains(t, svg, class)
	}
	require.NotContains(t, svg, `class="tr C"`, "a flat channel is not drawn")
	require.Contains(t, svg, ">G</text>")
	require.Contains(t, svg, "AT[G]")
	require.Empty(t, Peaks("p", doubts.Strand{}))
}

// The branches of a tree are drawn in one scale: the horizontal length of every
// branch over its length is the same.
func TestTreeIsToScale(t *testing.T) {
	tree := &seqqc.Tree{Nodes: []seqqc.TreeNode{
		{Parent: -1}, {Parent: 0, Length: 4, Voucher: "a"}, {Parent: 0, Length: 1}, {Parent: 2, Length: 3, Voucher: "b"}, {Parent: 2, Length: 2, Voucher: "c"},
	}}
	var lengths []float64
	for _, m := range regexp.MustCompile(`branch" d="M([\d.]+) ([\d.]+)L([\d.]+) ([\d.]+)"`).FindAllStringSubmatch(string(Tree("t", tree)), -1) {
		var v [4]float64
		for i := range v {
			f, err := strconv.ParseFloat(m[i+1], 64)
			require.NoError(t, err)
			v[i] = f
		}
		if v[1] == v[3] {
			lengths = append(lengths, v[2]-v[0])
		}
	}
	require.Len(t, lengths, 4)
	for i, want := range []float64{4, 1, 3, 2} {
		require.InDelta(t, want, lengths[i]*4/lengths[0], .02)
	}
	require.Contains(t, treeDesc(tree), "b, 8.0 %; c, 5.0 %")
}

func TestEmptyInputs(t *testing.T) {
	require.Empty(t, Contig("c", &seqqc.Contig{}, nil, nil))
	require.Empty(t, Tree("t", &seqqc.Tree{}))
	require.NotContains(t, string(Identity("i", Scale{})), "NaN")
	require.False(t, math.IsNaN(scaleBar(0)))
	flat := string(Tree("t", &seqqc.Tree{Nodes: []seqqc.TreeNode{{Parent: -1}, {Parent: 0, Voucher: "a"}, {Parent: 0, Voucher: "b"}}}))
	require.NotContains(t, flat, "Inf")
	require.NotContains(t, flat, "NaN")
}

// luminance is the relative luminance of a colour "#rgb" or "#rrggbb" (WCAG
// 2.2, definition of relative luminance).
func luminance(t *testing.T, colour string) float64 {
	hex := strings.TrimPrefix(colour, "#")
	if len(hex) == 3 {
		hex = string([]byte{hex[0], hex[0], hex[1], hex[1], hex[2], hex[2]})
	}
	sum := 0.0
	for i, part := range []float64{.2126, .7152, .0722} {
		v, err := strconv.ParseUint(hex[2*i:2*i+2], 16, 8)
		require.NoError(t, err)
		c := float64(v) / 255
		if c <= .03928 {
			c /= 12.92
		} else {
			c = math.Pow((c+.055)/1.055, 2.4)
		}
		sum += part * c
	}
	return sum
}

// Contrast in light, dark and print: 4.5 to 1 for text on whatever it stands
// on, 3 to 1 for lines (WCAG 2.2, success criteria 1.4.3 and 1.4.11).
func TestContrast(t *testing.T) {
	schemes := regexp.MustCompile(`:root\{([^}]*)\}`).FindAllStringSubmatch(Style, -1)
	require.Len(t, schemes, 3)
	for i, s := range schemes {
		colour := map[string]string{}
		for _, m := range regexp.MustCompile(`--([a-z-]+):(#[0-9a-f]+)`).FindAllStringSubmatch(s[1], -1) {
			colour[m[1]] = m[2]
		}
		contrast := func(a, b string) float64 {
			x, y := luminance(t, colour[a]), luminance(t, colour[b])
			return (max(x, y) + .05) / (min(x, y) + .05)
		}
		for _, letter := range []string{"ink", "soft", "accent", "base-a", "base-c", "base-g", "base-t"} {
			for _, ground := range []string{"ground", "panel", "mark"} {
				if letter == "soft" && ground == "mark" {
					continue // never there
				}
				require.GreaterOrEqual(t, contrast(letter, ground), 4.5, "scheme %d: %s on %s", i, letter, ground)
			}
		}
		for _, ground := range []string{"fine", "look", "unsure"} {
			require.GreaterOrEqual(t, contrast("ink", ground), 4.5, "scheme %d: %s", i, ground)
		}
		require.GreaterOrEqual(t, contrast("rule", "ground"), 3.0, "scheme %d", i)
	}
}

func ExamplePlate() {
	svg := Plate("plate-1", "Plate", 8, 12, []Well{{Row: 0, Column: 0, Word: "conf", Name: "QM-106 conflict at genus", State: Look}})
	fmt.Println(strings.Contains(string(svg), "A1 QM-106 conflict at genus"))
	// Output: true
}

func ExamplePeaks() {
	svg := Peaks("card-1", doubts.Strand{Peaks: &doubts.Peaks{A: []int{0, 100, 0}, Bases: []doubts.PeakBase{{X: 500, Base: "A"}}, Mark: 500}})
	fmt.Println(strings.HasPrefix(string(svg), `<svg class="pic peaks" role="img"`))
	// Output: true
}
