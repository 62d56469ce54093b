package review

import (
	"fmt"
	"net/http"
	"slices"
	"strconv"

	"forayseq/seqqc"
	"forayseq/seqqc/doubts"
	"forayseq/seqqc/draw"
)

// traceView is the whole trace of a read, piece by piece.
type traceView struct {
	File string `json:"file"`
	// Turned is true where the read lies in a contig on the other strand: there
	// its bases are those of the other strand, from the last to the first.
	Turned bool         `json:"turned"`
	Pieces []tracePiece `json:"pieces"`
}

type tracePiece struct {
	Title   string   `json:"title"`
	Kept    string   `json:"kept"`
	Marked  bool     `json:"marked"` // it holds the base that was asked for
	Picture draw.SVG `json:"picture"`
}

// piece is how many bases a picture of the whole trace shows.
const piece = 25

// showTrace gives the whole trace of a read, with the base "at" marked where one
// is asked for.
func (s *server) showTrace(w http.ResponseWriter, r *http.Request) {
	query := r.URL.Query()
	file := query.Get("file")
	at, err := strconv.Atoi(query.Get("at"))
	if err != nil {
		at = -1
	}
	v, reads, _, err := s.batch.Voucher(query.Get("code"))
	if err != nil {
		fail(w, err)
		return
	}
	i := slices.IndexFunc(reads, func(x *seqqc.Read) bool { return x.File == file })
	if i < 0 || reads[i].Trace == nil || !reads[i].Trace.HasChannels() {
		refuse(w, http.StatusNotFound, "there is no such trace")
		return
	}
	read := reads[i]
	out := traceView{File: file, Turned: turned(&v, file)}
	for from := 0; from < len(read.Trace.Bases); from += piece {
		to := min(from+piece, len(read.Trace.Bases))
		title := fmt.Sprintf("Bases %d to %d", from+1, to)
		p := doubts.Stretch(read, seqqc.Interval{Start: from, End: to}, false)
		marked := at >= from && at < to && p != nil
		if marked {
			b := &p.Bases[at-from]
			b.Doubt, p.Mark = true, b.X
		}
		out.Pieces = append(out.Pieces, tracePiece{
			Title:   title,
			Marked:  marked,
			Kept:    keptWords(read.Kept, from, to),
			Picture: draw.Stretch(fmt.Sprintf("trace-%d", from), title, p, read.Trace.HasQuals()),
		})
	}
	answer(w, http.StatusOK, out)
}

// keptWords says how much of the bases from from to to is kept.
func keptWords(kept seqqc.Interval, from, to int) string {
	start, end := max(kept.Start, from), min(kept.End, to)
	switch {
	case end <= start:
		return "not kept"
	case start == from && end == to:
		return "kept"
	}
	return fmt.Sprintf("kept: %d to %d", start+1, end)
}
