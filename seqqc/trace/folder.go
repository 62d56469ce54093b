package trace

import (
	"cmp"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"iter"
	"path"
	"slices"
	"strings"

	"forayseq/seqqc"
)

// Status says what became of a file.
type Status string

// The statuses.
const (
	Usable     Status = "usable"     // read, or one record of it: Trace is set
	Joined     Status = "joined"     // a .qual file, read together with SameAs
	Duplicate  Status = "duplicate"  // the content, or the read, of SameAs again
	Ignored    Status = "ignored"    // of no known ending, or a .qual without a use
	Unreadable Status = "unreadable" // could not be read; Err says why
)

// Item is one file of a folder, one member of an archive, or one record of a
// file with several.
type Item struct {
	// File is the path below the file system's root with slashes; for a member
	// of an archive "lab.zip/inner/name.ab1"; for one of several records
	// "file.fasta#name".
	File   string
	Status Status
	Trace  *seqqc.Trace // set where Status is Usable
	SameAs string       // the file that a Joined or Duplicate one goes with
	Why    string       // why the file was not used, in plain words
	Hint   string       // what to do about it, empty where nothing is to be done
	Err    error        // set where Status is Unreadable
}

// Problem gives what a person should look at, nil where there is nothing: an
// item that could not be read, or one that doubles a file of another name.
func (it Item) Problem() *seqqc.Problem {
	if it.Status != Unreadable && it.Hint == "" {
		return nil
	}
	p := &seqqc.Problem{File: it.File, What: it.Why, Hint: it.Hint, Unread: it.Status == Unreadable}
	var e *ParseError
	if errors.As(it.Err, &e) {
		// The place has fields of its own, so What goes without it.
		p.Line, p.Field, p.Offset, p.What = e.Line, e.Field, max(0, e.Offset), e.Err.Error()
	}
	return p
}

// Folder reads every sequencing file below dir, which may be "." or a single
// file, and gives an Item for each in a fixed order: by folder, then name, and
// stems that have text only (FASTQ, FASTA) after all others. Zip archives are
// read in place. Links are not followed.
//
// One read is used once:
//   - Files of one stem in one folder are one read in several forms. The form
//     that tells most is read (.ab1 .abi .ab, then .scf, .fastq .fq, .fasta
//     .fas .fna .fa, .seq) and the next only if that fails. A .qual file gives
//     its values to the FASTA of its stem.
//   - A chromatogram whose content was met before is not read again, wherever
//     it lies and whatever its name. A text is so only under the same name:
//     two specimens may have the same bases.
//   - What has the stem and the bases of a chromatogram, as edited or as
//     called, is its copy, in another folder and another format too: some
//     laboratories keep them apart.
//
// An unreadable file or folder is an Item, and the rest follows. Hidden files
// and those a Macintosh adds to archives are passed over. A file of no known
// ending is read where it begins as a chromatogram does, or as a text of
// sequences and is named .txt; the others are listed as ignored. Where dir is
// itself such a file, it is read all the same, and unreadable where it is no
// read.
func Folder(fsys fs.FS, dir string, lim Limits) iter.Seq[Item] {
	return func(yield func(Item) bool) {
		w := &walker{
			lim: lim.withDefaults(), yield: yield,
			seen: map[[sha256.Size]byte]string{}, calls: map[[sha256.Size]byte]calls{},
		}
		defer w.close()
		if !w.files(sources(fsys, dir, w)) {
			return
		}
		for len(w.texts) > 0 {
			group := w.texts[0]
			w.texts = w.texts[1:]
			if !w.forms(group) {
				return
			}
		}
	}
}

// walker keeps what Folder must remember from file to file.
type walker struct {
	lim   Limits
	yield func(Item) bool
	seen  map[[sha256.Size]byte]string // content (of a text: and name) -> first file with it
	calls map[[sha256.Size]byte]calls  // stem and bases of a chromatogram -> its file
	texts [][]source                   // stems without a chromatogram, for the end
	open  []io.Closer                  // archives, whose texts may still be wanted
}

// calls are the bases of a chromatogram: as edited, or only as first called.
type calls struct {
	file       string
	calledOnly bool
}

func (w *walker) close() {
	for _, f := range w.open {
		f.Close() //nolint:errcheck // read only
	}
}

// packed are endings of archives that are not opened. Reads may be in them, so
// they are not passed over in silence.
var packed = map[string]bool{
	".gz": true, ".tgz": true, ".tar": true, ".bz2": true, ".xz": true, ".7z": true, ".rar": true,
}

// hidden reports whether an element of the path is a file or folder that
// nobody put there to be read.
func hidden(name string) bool {
	for part := range strings.SplitSeq(name, "/") {
		if part == "__MACOSX" || (strings.HasPrefix(part, ".") && part != "." && part != "..") {
			return true
		}
	}
	return false
}

// sources lists the files below dir.
func sources(fsys fs.FS, dir string, w *walker) (files []source) {
	err := fs.WalkDir(fsys, dir, func(name string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			files = append(files, source{file: name, err: err})
		case name != dir && hidden(path.Base(name)):
			if d.IsDir() {
				return fs.SkipDir
			}
		case d.IsDir():
		case d.Type().IsRegular() || name == dir:
			s := w.fileSource(fsys, name)
			if name == dir {
				s.named = true
			} else {
				s = s.look()
			}
			files = append(files, s)
		default:
			files = append(files, source{file: name, err: hinted{
				because(ErrUnsupported, "this is a link or device and is not followed"),
				"put the file itself into the folder",
			}})
		}
		return nil
	})
	if err != nil { // the function above returns none
		files = append(files, source{file: dir, err: err})
	}
	return files
}

func (w *walker) fileSource(fsys fs.FS, name string) source {
	return source{
		file: name,
		read: func() ([]byte, error) {
			f, err := fsys.Open(name)
			if err != nil {
				return nil, err
			}
			defer f.Close() //nolint:errcheck // read only
			return readAll(f, "", w.lim.FileBytes)
		},
		head: func() []byte {
			return readHead(func() (io.ReadCloser, error) { return fsys.Open(name) })
		},
		zip: func() bool { return w.archive(fsys, name) },
	}
}

// files gives the items of a tree of files and reports whether to go on.
func (w *walker) files(files []source) bool {
	slices.SortStableFunc(files, func(a, b source) int {
		return cmp.Or(
			strings.Compare(a.dir(), b.dir()), strings.Compare(a.stem(), b.stem()),
			cmp.Compare(a.rank(), b.rank()), strings.Compare(a.file, b.file))
	})
	for len(files) > 0 {
		n := 1
		for n < len(files) && files[n].dir() == files[0].dir() && files[n].stem() == files[0].stem() {
			n++
		}
		if r := files[0].rank(); r >= fastqRank && r < noRank {
			w.texts = append(w.texts, files[:n])
		} else if !w.forms(files[:n]) {
			return false
		}
		files = files[n:]
	}
	return true
}

// forms gives the items of the files of one stem, best form first.
func (w *walker) forms(files []source) bool {
	var qual *source
	for i := range files {
		if files[i].ext() == qualExt && files[i].err == nil && !files[i].named {
			qual = &files[i]
		}
	}
	var used source // the form that was read
	var fate *Item  // what became of qual
	for _, f := range files {
		switch r := f.rank(); {
		case f.err != nil:
			if !w.yield(unreadable(f.file, f.err)) {
				return false
			}
		case f.ext() == zipExt && f.zip != nil:
			if !f.zip() {
				return false
			}
		case qual != nil && f.file == qual.file:
			it := Item{File: f.file, Status: Ignored, Why: "it gives qualities, and no FASTA file of this name was read"}
			if fate != nil {
				it = *fate
			}
			if !w.yield(it) {
				return false
			}
		case packed[f.ext()]:
			err := hinted{because(ErrUnsupported, "this kind of archive is not opened"), "unpack it into the folder"}
			if !w.yield(unreadable(f.file, err)) {
				return false
			}
		case r == noRank && !f.named:
			if !w.yield(Item{File: f.file, Status: Ignored, Why: "not a sequencing file by its ending"}) {
				return false
			}
		case used.file != "" && used.rank() < r:
			if !w.yield(Item{File: f.file, Status: Duplicate, SameAs: used.file, Why: "another form of the same read"}) {
				return false
			}
		default:
			var companion *source
			if r == fastaRank || r == seqRank {
				companion = qual
			}
			items, ok := w.read(f, companion, &fate)
			if ok && used.file == "" {
				used = f
			}
			for _, it := range items {
				if !w.yield(it) {
					return false
				}
			}
		}
	}
	return true
}

// read decodes one file and reports whether its content is among the reads
// now. fate gets what became of the companion qual.
func (w *walker) read(f source, qual *source, fate **Item) ([]Item, bool) {
	data, err := f.read()
	if err != nil {
		return []Item{unreadable(f.file, err)}, false
	}
	traces, err := decode(data, f.file, w.lim)
	if err != nil && f.holds != "" && (f.rank() >= fastqRank || errors.Is(err, ErrUnsupported)) {
		// A text or a file of fragment analysis, which nobody said to be a read.
		return []Item{{File: f.file, Status: Ignored, Why: fmt.Sprintf("it begins as %s does, and is no read: %v", f.holds, err)}}, false
	}
	if err != nil {
		return []Item{unreadable(f.file, err)}, false
	}
	if rank(f.file) == noRank {
		for _, t := range traces {
			t.Notes = append(t.Notes, "the file does not have the ending of a read and was read as "+t.Format+", as it begins")
		}
	}
	content := data
	chromatogram := isChromatogram(traces[0])
	if !chromatogram {
		content = slices.Concat(data, []byte{0}, []byte(strings.ToLower(path.Base(f.file))))
	}
	sum := sha256.Sum256(content)
	if first, ok := w.seen[sum]; ok {
		return []Item{doubled(f.file, first)}, true
	}
	w.seen[sum] = f.file
	if len(traces) == 1 {
		if it, ok := w.copied(f, traces[0]); ok {
			return []Item{it}, true
		}
	}
	if chromatogram {
		for i, bases := range calledBases(traces[0]) {
			w.calls[callKey(f, bases)] = calls{f.file, i > 0}
		}
	}
	if qual != nil {
		*fate = w.join(traces, f, *qual)
	}
	names := recordFiles(f.file, traces)
	items := make([]Item, len(traces))
	for i, t := range traces {
		items[i] = Item{File: names[i], Status: Usable, Trace: t}
	}
	return items, true
}

// copied tells a read whose bases, as edited or as called, are those of a
// chromatogram of its stem: the read itself in another format, as text, or
// edited. Two of them would count as two witnesses.
func (w *walker) copied(f source, t *seqqc.Trace) (Item, bool) {
	for i, bases := range calledBases(t) {
		first, ok := w.calls[callKey(f, bases)]
		if !ok {
			continue
		}
		it := Item{File: f.file, Status: Duplicate, SameAs: first.file, Why: "the bases of " + first.file + " again"}
		if (i > 0 || first.calledOnly) && isChromatogram(t) {
			it.Why = "the same read as " + first.file + ", of which one is edited"
			it.Hint = "keep the one of the two that is to be used, and remove the other"
		}
		return it, true
	}
	return Item{}, false
}

func isChromatogram(t *seqqc.Trace) bool { return t.Format == "ABIF" || t.Format == "SCF" }

// calledBases gives the bases of a read, and those as first called where an
// editor changed them.
func calledBases(t *seqqc.Trace) [][]byte {
	if t.Called == nil {
		return [][]byte{t.Bases}
	}
	return [][]byte{t.Bases, t.Called}
}

// callKey is the key of a read's stem and bases.
func callKey(f source, bases []byte) [sha256.Size]byte {
	return sha256.Sum256(slices.Concat([]byte(f.stem()), []byte{0}, bases))
}

// join gives traces the values of qual. A .qual file that does not fit costs
// its values and not the bases.
func (w *walker) join(traces []*seqqc.Trace, f, qual source) *Item {
	data, err := qual.read()
	if err == nil {
		err = JoinQual(traces, strings.NewReader(string(data)), w.lim)
	}
	if err != nil {
		it := unreadable(qual.file, err)
		return &it
	}
	return &Item{File: qual.file, Status: Joined, SameAs: f.file}
}

func unreadable(file string, err error) Item {
	why := err.Error()
	var of *fs.PathError
	if errors.As(err, &of) { // whose path is that of the item
		why = "it cannot be opened: " + of.Err.Error()
	}
	return Item{File: file, Status: Unreadable, Why: why, Hint: Hint(err), Err: err}
}

// doubled is an item with the content of first. Under the same name it is a
// copy; under another, one of the two has a wrong name, and nobody can tell
// which from the content.
func doubled(file, first string) Item {
	it := Item{File: file, Status: Duplicate, SameAs: first, Why: "the same content as " + first}
	if !strings.EqualFold(path.Base(file), path.Base(first)) {
		it.Why += " under another name"
		it.Hint = "one of the two files has a wrong name: remove that one, or ask the laboratory for the missing read"
	}
	return it
}

// recordFiles names the records of a file: the file itself for a single one,
// else "file#name", with the number of the record where the name is missing or
// comes twice.
func recordFiles(file string, traces []*seqqc.Trace) []string {
	if len(traces) == 1 {
		return []string{file}
	}
	taken := make(map[string]bool, len(traces))
	out := make([]string, len(traces))
	for i, t := range traces {
		name := file + "#" + t.Name
		if t.Name == "" || taken[name] {
			if t.Name != "" {
				t.Notes = append(t.Notes, fmt.Sprintf("the name %q comes more than once in the file", t.Name))
			}
			name = fmt.Sprintf("%s(record %d)", name, i+1)
		}
		taken[name] = true
		out[i] = name
	}
	return out
}
