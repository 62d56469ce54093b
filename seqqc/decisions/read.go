package decisions

import (
	"bufio"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"forayseq/seqqc"
)

// maxLine bounds a line: the longest texts, each letter escaped, are shorter.
const maxLine = 64 << 10

// Read reads decisions, in the order of their lines. A line that is none (cut
// short, damaged, without what its kind needs) is passed over and told of as a
// problem, and so is one whose ID was there before. A decision of a kind that is
// not known is kept, and told of too. name is the file's, for the problems.
func Read(r io.Reader, name string) ([]seqqc.Decision, []seqqc.Problem, error) {
	var out []seqqc.Decision
	var problems []seqqc.Problem
	seen := map[string]bool{}
	lines := bufio.NewReaderSize(r, maxLine)
	for n := 1; ; n++ {
		line, end, tooLong, err := nextLine(lines)
		if err != nil {
			return nil, nil, fmt.Errorf("%s, line %d: %w", name, n, err)
		}
		if len(strings.TrimSpace(string(line))) > 0 || tooLong {
			d, err := parse(line, tooLong)
			if err == nil && seen[d.ID] {
				err = fmt.Errorf("its id %q was there before", d.ID)
			}
			switch {
			case err == nil:
			case errors.Is(err, ErrUnknownKind):
				problems = append(problems, seqqc.Problem{File: name, Line: n, Field: string(d.What),
					What: fmt.Sprintf("%s: %v", d.Voucher, err), Hint: "use the version of the program that wrote it"})
			case end && !json.Valid(line):
				problems = append(problems, seqqc.Problem{File: name, Line: n,
					What: "the last line was cut short, as when a computer stops while it writes: that decision is lost",
					Hint: "decide it again; later decisions go on a new line"})
				return out, problems, nil
			default:
				problems = append(problems, seqqc.Problem{File: name, Line: n,
					What: "the line is no decision and was passed over: " + err.Error(), Hint: "decide it again; the line may stay"})
			}
			if err == nil || errors.Is(err, ErrUnknownKind) {
				seen[d.ID] = true
				out = append(out, d)
			}
		}
		if end {
			return out, problems, nil
		}
	}
}

// ReadFile reads the decisions of a file, none where it is missing.
func ReadFile(path string) (list []seqqc.Decision, problems []seqqc.Problem, err error) {
	f, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil, nil
	}
	if err != nil {
		return nil, nil, err
	}
	list, problems, err = Read(f, filepath.Base(path))
	return list, problems, errors.Join(err, f.Close())
}

// nextLine gives a line without its break, and whether it was the last: the
// input ends with it. Of a line that is too long nothing is given.
func nextLine(r *bufio.Reader) (line []byte, end, tooLong bool, err error) {
	for {
		part, err := r.ReadSlice('\n')
		switch {
		case err == nil:
			if tooLong {
				return nil, false, true, nil
			}
			return part[:len(part)-1], false, false, nil
		case errors.Is(err, bufio.ErrBufferFull):
			tooLong = true
		case errors.Is(err, io.EOF):
			if tooLong {
				part = nil
			}
			return part, true, tooLong, nil
		default:
			return nil, false, false, err
		}
	}
}

func parse(line []byte, tooLong bool) (d seqqc.Decision, err error) {
	if tooLong {
		return d, fmt.Errorf("it is longer than %d bytes", maxLine)
	}
	if err := json.Unmarshal(line, &d); err != nil {
		return d, errors.New("it is no JSON object of ours")
	}
	return d, Check(d)
}
