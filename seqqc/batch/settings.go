package batch

import (
	"errors"
	"fmt"
	"io"
	"strconv"

	"go.yaml.in/yaml/v3"

	"forayseq/seqqc"
	"forayseq/seqqc/alleles"
	"forayseq/seqqc/contig"
	"forayseq/seqqc/cross"
	"forayseq/seqqc/match"
	"forayseq/seqqc/trim"
	"forayseq/seqqc/verdict"
)

// Settings are all that can be set about a run, one struct a stage.
type Settings struct {
	Trim    trim.Params
	Contig  contig.Params
	Alleles alleles.Params
	Match   match.Params
	Verdict verdict.Params
	Cross   cross.Params
	// Columns maps a heading of the voucher sheet, in any language, to the
	// name of the column it stands for.
	Columns map[string]string
}

// DefaultSettings gives the documented defaults.
func DefaultSettings() Settings {
	return Settings{
		Trim:    trim.Defaults(),
		Contig:  contig.Defaults(),
		Alleles: alleles.Defaults(),
		Match:   match.Defaults(),
		Verdict: verdict.Defaults(),
		Cross:   cross.Defaults(),
	}
}

// Validate refuses settings that contradict one another.
func (s *Settings) Validate() error {
	err := errors.Join(s.Trim.Validate(), s.Contig.Validate(), s.Alleles.Validate(), s.Cross.Validate())
	t := s.Match.Thresholds
	if !(t.Species >= t.Genus && t.Genus >= t.Family && t.Family >= t.Order && t.Order >= t.Class) {
		err = errors.Join(err, fmt.Errorf("percent identities must not rise from species to class, and are %g, %g, %g, %g, %g",
			t.Species, t.Genus, t.Family, t.Order, t.Class))
	}
	if err != nil {
		return hint("'forayseq run --help' lists the settings", "settings: %w", err)
	}
	return nil
}

// Entry is one setting bound to its place in a Settings. It is a pflag.Value,
// so each setting is a flag of the same name.
type Entry struct {
	Name, Usage, Source string
	// Stage is the part of the work that the setting bears on: "trim",
	// "contig", "alleles", "match", "verdict" or "cross".
	Stage string
	set   func(string) error
	get   func() string
	kind  string
}

// Set, String and Type make an Entry a flag.
func (e *Entry) Set(text string) error { return e.set(text) }

// String gives the value as Set would read it.
func (e *Entry) String() string {
	if e.get == nil { // the zero Entry, which flag packages compare with
		return ""
	}
	return e.get()
}

// Type names the kind of value.
func (e *Entry) Type() string { return e.kind }

// number binds a setting to a float64 that must lie in [least, most].
func number(name string, v *float64, least, most float64, usage, source string) *Entry {
	return &Entry{
		Name: name, Usage: usage, Source: source, kind: "number",
		get: func() string { return strconv.FormatFloat(*v, 'g', -1, 64) },
		set: func(text string) error {
			x, err := strconv.ParseFloat(text, 64)
			if err != nil || !(x >= least && x <= most) {
				return fmt.Errorf("%q is no number from %g to %g", text, least, most)
			}
			*v = x
			return nil
		},
	}
}

// count binds a setting to an int that must lie in [least, most].
func count(name string, v *int, least, most int, usage, source string) *Entry {
	return &Entry{
		Name: name, Usage: usage, Source: source, kind: "count",
		get: func() string { return strconv.Itoa(*v) },
		set: func(text string) error {
			n, err := strconv.Atoi(text)
			if err != nil || n < least || n > most {
				return fmt.Errorf("%q is no whole number from %d to %d", text, least, most)
			}
			*v = n
			return nil
		},
	}
}

// Load reads settings from YAML: a mapping from a setting's name to its value,
// and under 'columns' a mapping from headings to columns. Settings for which
// keep is true are left as they are. Nothing is taken from a file with an
// error.
func (s *Settings) Load(r io.Reader, keep func(name string) bool) error {
	var file yaml.Node
	dec := yaml.NewDecoder(io.LimitReader(r, maxSettingsBytes))
	if err := dec.Decode(&file); errors.Is(err, io.EOF) {
		return nil
	} else if err != nil {
		return hint("each line is 'name: value'", "%s: %w", SettingsName, err)
	}
	top := file.Content[0] // a document node has one child
	if top.Kind != yaml.MappingNode {
		return hint("each line is 'name: value'", "%s, line %d: no settings by name", SettingsName, top.Line)
	}
	trial := *s
	byName := map[string]*Entry{}
	for _, e := range trial.Entries() {
		byName[e.Name] = e
	}
	// A mapping node holds its keys and values in turn.
	for i := 0; i+1 < len(top.Content); i += 2 {
		name, value := top.Content[i].Value, top.Content[i+1]
		if name == "columns" {
			if err := value.Decode(&trial.Columns); err != nil {
				return hint("write 'columns:' and below it lines 'your heading: our column'", "%s, line %d: columns: %w", SettingsName, value.Line, err)
			}
			continue
		}
		e, known := byName[name]
		if !known {
			return hint("settings are the flags of 'forayseq run' that take a number, and 'columns'", "%s, line %d: unknown setting %q", SettingsName, value.Line, name)
		}
		if value.Kind != yaml.ScalarNode {
			return hint("write 'name: value' on one line", "%s, line %d: %s has no single value", SettingsName, value.Line, name)
		}
		if keep(name) {
			continue
		}
		if err := e.Set(value.Value); err != nil {
			return hint(e.Usage, "%s, line %d: %s: %w", SettingsName, value.Line, name, err)
		}
	}
	*s = trial
	return nil
}

// maxSettingsBytes bounds the settings file: a page of text, not a data file.
const maxSettingsBytes = 1 << 20

// used lists the settings for the report.
func (s *Settings) used() []seqqc.Setting {
	var out []seqqc.Setting
	for _, e := range s.Entries() {
		out = append(out, seqqc.Setting{Name: e.Name, Value: e.String(), Source: e.Source, About: e.Usage})
	}
	return out
}
