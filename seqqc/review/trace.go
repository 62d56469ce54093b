package review

import (
	"fmt"
	"net/http"
	"slices"

	"forayseq/seqqc"
	"forayseq/seqqc/doubts"
	"forayseq/seqqc/draw"
)

// traceView is the whole trace of a read, piece by piece.
type traceView struct {
	File   string       `json:"file"`
	Pieces []tracePiece `json:"pieces"`
}

type tracePiece struct {
	Title   string   `json:"title"`
	Kept    string   `json:"kept"`
	Picture draw.SVG `json:"picture"`
}

// piece is how many bases a picture of the whole trace shows.
const piece = 25

func (s *server) showTrace(w http.ResponseWriter, r *http.Request) {
	file := r.URL.Query().Get("file")
	_, reads, _, err := s.batch.Voucher(r.URL.Query().Get("code"))
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
	out := traceView{File: file}
	for from := 0; from < len(read.Trace.Bases); from += piece {
		to := min(from+piece, len(read.Trace.Bases))
		title := fmt.Sprintf("Bases %d to %d", from+1, to)
		p := doubts.Stretch(read, seqqc.Interval{Start: from, End: to}, false)
		out.Pieces = append(out.Pieces, tracePiece{
			Title:   title,
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
