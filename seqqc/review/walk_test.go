package review_test

import (
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/require"

	"forayseq/seqqc"
	"forayseq/seqqc/batch"
	"forayseq/seqqc/decisions"
)

// A voucher of the demo with a doubt that is open.
const doubtful = "QM-119"

func (o opened) decisions(t *testing.T) []seqqc.Decision {
	t.Helper()
	list, problems, err := decisions.ReadFile(filepath.Join(o.dir, batch.DecisionsName))
	require.NoError(t, err)
	require.Empty(t, problems)
	return list
}

// From the list to an answered doubt and back with keys alone.
func TestAnswerADoubtByKeyboard(t *testing.T) {
	o := openDemo(t, nil)
	tb := newBrowser(t, 1280)
	tb.open(o.address)
	require.NotContains(t, tb.value("location.href"), "token", "the token does not stay in the address bar")
	tb.until("document.querySelectorAll('.rows a').length > 30")

	// Filter to one voucher, go to it, open it.
	tb.press("/")
	tb.until("document.activeElement.id === 'filter'")
	tb.press(kb.Backspace) // a key sent to the browser brings its letter even where the page took the key
	tb.press(strings.Split(doubtful, "")...)
	tb.until("document.querySelectorAll('.rows a').length === 1")
	tb.press(kb.Escape, "j")
	tb.until("document.activeElement.matches('.rows a')")
	tb.press(kb.Enter)
	tb.until("document.querySelector('main h1').textContent.startsWith('" + doubtful + "')")
	require.Equal(t, "H1", tb.value("document.activeElement.tagName"), "a reader begins at the heading")

	// The first doubt is in focus; its second answer is another base than the
	// contig's.
	before, _, _, err := o.session.Voucher(doubtful)
	require.NoError(t, err)
	tb.press("n")
	tb.until("document.activeElement.matches('.card:not(.done)')")
	answer := tb.value("document.activeElement.querySelector('[data-answer=\"2\"] b').textContent")
	tb.press("2")
	tb.until("document.getElementById('said').textContent.startsWith('Written down.')")
	list := o.decisions(t)
	require.Len(t, list, 1)
	require.Equal(t, seqqc.DecideBase, list[0].What)
	require.Equal(t, "tester", list[0].Who)
	after, _, _, err := o.session.Voucher(doubtful)
	require.NoError(t, err)
	require.NotEqual(t, before.ChosenSample().Contig.Sequence, after.ChosenSample().Contig.Sequence)
	require.Equal(t, answer, after.ChosenSample().Contig.Edits[0].Code)
	require.Contains(t, tb.text("#said"), "Identity to the nearest reference", "what follows is told")
	require.NotEqual(t, "BODY", tb.value("document.activeElement.tagName"), "the focus is not lost")

	// And back.
	tb.press("u")
	tb.until("document.querySelectorAll('.history .undone').length === 1")
	require.Equal(t, "true", tb.value("document.activeElement.matches('.card:not(.done)')"), "the doubt is open again, and in focus")
	undone, _, _, err := o.session.Voucher(doubtful)
	require.NoError(t, err)
	require.Equal(t, before.ChosenSample().Contig.Sequence, undone.ChosenSample().Contig.Sequence)
	require.Equal(t, before.Verdict, undone.Verdict)

	// A trace that is asked for while an answer is under way is not lost.
	tb.value(`(() => {
		document.querySelector(".card [data-answer=open]").click();
		document.querySelector(".read [data-key$='-trace']").click();
	})()`)
	tb.until("document.querySelectorAll('.history li').length === 3")
	tb.until("document.querySelectorAll('.trace:not([hidden]) svg').length > 10")
	tb.value("document.querySelector(\".read [data-key$='-trace']\").click()")
	tb.until("document.querySelectorAll('.trace:not([hidden])').length === 0")
	tb.value("document.querySelector('[data-undo]').click()")
	tb.until("document.querySelectorAll('.history li').length === 4")

	// The whole trace is one key away, at the base in doubt, and so is the way back.
	tb.press("n")
	tb.until("document.activeElement.matches('.card')")
	place, err := strconv.Atoi(tb.value("document.activeElement.dataset.place"))
	require.NoError(t, err)
	card := tb.value("document.activeElement.id")
	tb.press("t")
	tb.until("document.activeElement.matches('.trace .marked')")
	require.Equal(t, "1", tb.value("document.querySelectorAll('.trace .mark').length"), "one base is marked")
	var from, to int
	_, err = fmt.Sscanf(tb.value("document.activeElement.querySelector('figcaption').textContent"), "Bases %d to %d", &from, &to)
	require.NoError(t, err)
	require.True(t, from <= place+1 && place+1 <= to, "%d is not from %d to %d", place+1, from, to)
	tb.press("t")
	tb.until("document.querySelectorAll('.trace:not([hidden])').length === 0")
	require.Equal(t, card, tb.value("document.activeElement.id"))
	tb.press("l")
	tb.until("document.querySelector('main h1').textContent.startsWith('Vouchers')")
	require.Equal(t, doubtful, tb.value("document.activeElement.textContent"), "one goes on where one was")

	// A heading sorts, and the other way round when it is pressed again.
	codes := "[...document.querySelectorAll('.rows tbody a')].map((a) => a.textContent).join()"
	sorted := func() string {
		return tb.value("[...document.querySelectorAll('.rows [aria-sort]')].map((h) => h.textContent.slice(0, -1) + ' ' + h.getAttribute('aria-sort')).join()")
	}
	tb.press("/")
	tb.until("document.activeElement.id === 'filter'")
	tb.value("document.activeElement.select()")
	tb.press(kb.Delete)
	tb.until("document.querySelectorAll('.rows tbody a').length > 30")
	tb.value("document.querySelector('[data-key=order]').focus()")
	tb.press(kb.Tab, kb.Enter)
	require.Equal(t, "Voucher ascending", sorted())
	up := strings.Split(tb.value(codes), ",")
	require.True(t, slices.IsSorted(up), "%q", up)
	tb.press(kb.Enter)
	require.Equal(t, "Voucher descending", sorted())
	down := strings.Split(tb.value(codes), ",")
	slices.Reverse(down)
	require.Equal(t, up, down)
	tb.press(kb.Tab, kb.Tab, kb.Tab, kb.Enter)
	require.Equal(t, "Open doubts descending", sorted())
	require.Contains(t, tb.text(".rows tbody tr"), doubtful, "it has the most")

	// With single letters switched off they do nothing.
	tb.press("?")
	tb.until("!document.getElementById('keys').hidden")
	tb.value("document.getElementById('single-keys').click()")
	tb.press("?")
	require.Equal(t, "false", tb.value("document.getElementById('keys').hidden"))
	tb.quiet(o.origin)
}

// What is decided about reads and the voucher as a whole is in the file, in the
// page, and in the next run.
func TestDecideAboutAVoucher(t *testing.T) {
	o := openDemo(t, nil)
	tb := newBrowser(t, 360)
	tb.open(o.address)
	tb.to("#/v/QM-106", "QM-106")
	click := func(key, says string) {
		t.Helper()
		tb.value("document.getElementById('said').textContent = ''")
		tb.value("document.querySelector('[data-key=" + quoted(key) + "]').click()")
		tb.until("document.getElementById('said').textContent.includes(" + quoted(says) + ")")
	}
	fill := func(key, value string) {
		tb.value("document.querySelector('[data-key=" + quoted(key) + "]').value = " + quoted(value))
	}

	// A verdict is overruled with another and a reason only, each asked for where
	// it is to be given.
	tb.value("document.querySelector('[data-key=overrule]').click()")
	tb.until("document.getElementById('failed').textContent.includes('Choose the verdict')")
	require.Equal(t, "verdict-given", tb.value("document.activeElement.dataset.key"))
	fill("verdict-given", "agrees")
	tb.value("document.querySelector('[data-key=overrule]').click()")
	tb.until("document.getElementById('failed').textContent.includes('reason')")
	require.Equal(t, "verdict-why", tb.value("document.activeElement.dataset.key"))
	require.Empty(t, o.decisions(t))
	fill("verdict-why", "the label was misread: it says Lactarius")
	click("overrule", "Written down.")
	fill("final-name", "Lactarius synprima")
	click("name-button", "Written down.")
	click("submission-submit", "Written down.")

	// A read set aside changes what the sequence rests on, and another stretch
	// how long it is.
	file := tb.value("document.querySelector('.trace').dataset.file")
	before, _, _, err := o.session.Voucher("QM-106")
	require.NoError(t, err)
	click("read-"+file+"-aside", "Written down.")
	after, _, _, err := o.session.Voucher("QM-106")
	require.NoError(t, err)
	require.Len(t, after.ChosenSample().Contig.Reads, len(before.ChosenSample().Contig.Reads)-1)
	click("read-"+file+"-aside", "Written down.")
	fill("read-"+file+"-from", "120")
	click("read-"+file+"-keep", "Written down.")
	require.Equal(t, "120", tb.value("document.querySelector('[data-key="+quoted("read-"+file+"-from")+"]').value"))
	tb.sound("a voucher that was decided")
	tb.noWider("a voucher that was decided")
	tb.quiet(o.origin)

	res, err := batch.Run(t.Context(), batch.Options{Dir: o.dir, Settings: batch.DefaultSettings()})
	require.NoError(t, err)
	for _, v := range res.Vouchers {
		if v.Voucher.Code != "QM-106" {
			require.Nil(t, v.Reviewed)
			continue
		}
		require.Equal(t, seqqc.Conflict, v.Verdict.Kind, "the program's own verdict stays")
		require.Equal(t, seqqc.Agrees, v.Reviewed.Kind)
		require.Equal(t, "Lactarius synprima", v.Reviewed.FinalName)
		require.Equal(t, seqqc.Submit, v.Reviewed.Submission)
		require.Equal(t, 1, v.Reviewed.Edits, "one window")
	}
	for _, r := range res.Reads {
		if r.File == file {
			require.True(t, r.KeptByHand)
			require.Equal(t, 119, r.Kept.Start)
		}
	}
}

// Two people decide at once on two pages: each hears of the other, and nothing
// is lost. So is what another program writes.
func TestTwoPagesAtOnce(t *testing.T) {
	o := openDemo(t, nil)
	go func() { _ = o.session.Watch(t.Context()) }()
	first := newBrowser(t, 1280)
	first.open(o.address)
	second := newBrowser(t, 1280)
	second.open(o.address)
	first.to("#/v/QM-101", "QM-101")
	second.to("#/v/QM-101", "QM-101")
	for _, tb := range []*tab{first, second} {
		tb.value("document.querySelector('[data-key=note]').value = 'half a sentence'")
	}
	const rounds = 5
	for range rounds {
		first.value("document.querySelector('[data-key=submission-hold]').click()")
		second.value("document.querySelector('[data-key=accept]').click()")
	}
	shown := "document.querySelectorAll('.history li').length"
	first.until(shown + " === 10")
	second.until(shown + " === 10")
	require.Len(t, o.decisions(t), 2*rounds)
	require.NoError(t, decisions.Append(filepath.Join(o.dir, batch.DecisionsName), seqqc.Decision{
		ID: decisions.NewID(), When: "2026-10-03T18:04:05Z", Who: "another program", Voucher: "QM-101", What: seqqc.DecideName, Name: "Russula synprima"}))
	first.until(shown + " === 11")
	second.until(shown + " === 11")
	for _, tb := range []*tab{first, second} {
		require.Equal(t, "half a sentence", tb.value("document.querySelector('[data-key=note]').value"), "what is being typed stays")
		tb.quiet(o.origin)
	}
}

// Names from sheets, files and libraries are text, whatever they hold.
func TestHostileNamesAreText(t *testing.T) {
	const evil = `<img src=x onerror="document.title='owned'"><script>document.title='owned'</script>'"&amp;`
	o := openDemo(t, func(dir string) {
		path := filepath.Join(dir, batch.SheetName)
		f, err := os.Open(path)
		require.NoError(t, err)
		rows, err := csv.NewReader(f).ReadAll()
		require.NoError(t, err)
		require.NoError(t, f.Close())
		field := 0
		for i, name := range rows[0] {
			if name == "field_id" {
				field = i
			}
		}
		require.NotZero(t, field)
		rows[1][field] = evil
		out, err := os.Create(path)
		require.NoError(t, err)
		w := csv.NewWriter(out)
		require.NoError(t, w.WriteAll(rows))
		require.NoError(t, out.Close())

		// The library's headers and a file name.
		refs := filepath.Join(dir, batch.RefsName)
		text, err := os.ReadFile(refs)
		require.NoError(t, err)
		lines := strings.Split(string(text), "\n")
		for i, line := range lines {
			if strings.HasPrefix(line, ">") {
				lines[i] = line + " " + evil
			}
		}
		require.NoError(t, os.WriteFile(refs, []byte(strings.Join(lines, "\n")), 0o644))
		reads, err := filepath.Glob(filepath.Join(dir, batch.ReadsName, "*", "*QM-119*"))
		require.NoError(t, err)
		require.NotEmpty(t, reads)
		require.NoError(t, os.Rename(reads[0], filepath.Join(filepath.Dir(reads[0]), "<svg onload=alert(1)>_"+filepath.Base(reads[0]))))
	})
	tb := newBrowser(t, 360)
	tb.open(o.address)
	tb.until("document.querySelector('main').textContent.includes('<img src=x')")
	tb.value("localStorage.setItem('forayseq-who', " + quoted(evil) + ")")
	tb.to("#/v/QM-101", "<img src=x")
	tb.value("document.getElementById('who').value = " + quoted(evil))
	for key, button := range map[string]string{"final-name": "name-button", "note": "note-button"} {
		tb.value("document.getElementById('said').textContent = ''")
		tb.value("document.querySelector('[data-key=" + key + "]').value = " + quoted(evil))
		tb.value("document.querySelector('[data-key=" + button + "]').click()")
		tb.until("document.getElementById('said').textContent.startsWith('Written down.')")
	}
	tb.until("document.querySelector('.history').textContent.includes('<script>')")
	tb.to("#/v/"+doubtful, doubtful)
	tb.until("document.querySelector('main').textContent.includes('<svg onload=alert(1)>')")
	tb.to("#/", "Vouchers")
	require.Equal(t, "0", tb.value("document.querySelectorAll('main img, main script, main [onload], main [onerror]').length"))
	require.NotContains(t, tb.value("document.title"), "owned")
	tb.noWider("a list with long names")
	tb.quiet(o.origin)
}

// A file may lead to the page, so that its token stands on no command line.
func TestAFileLeadsToThePage(t *testing.T) {
	o := openDemo(t, nil)
	way := filepath.Join(t.TempDir(), "way.html")
	require.NoError(t, os.WriteFile(way, []byte(`<!doctype html><meta http-equiv="refresh" content="0; url=`+o.address+`">`), 0o600))
	tb := newBrowser(t, 360)
	tb.run(chromedp.Navigate("file://" + filepath.ToSlash(way)))
	tb.until("document.querySelectorAll('.rows tbody a').length > 30")
	require.Equal(t, o.origin+"/#/", tb.value("location.href"))

	// An address that leads nowhere is told of, until a person goes elsewhere.
	tb.value("location.hash = '#/v/nobody'")
	tb.until("document.getElementById('failed').textContent.includes('There is no voucher nobody')")
	require.Equal(t, "Not here: nobody", tb.text("main h1"), "nothing of what was shown before can be taken for it")
	tb.to("#/v/QM-101", "QM-101")
	require.Empty(t, tb.text("#failed"))
	tb.value("location.hash = '#/v/%E0%A4%A'")
	tb.until("document.querySelector('main h1').textContent.startsWith('Vouchers of')")
	require.Empty(t, tb.text("#failed"))
}

// That an input is another than the one that was read is told on every page that
// is open, with what to do, and after a decision too.
func TestChangedInputsAreTold(t *testing.T) {
	o := openDemo(t, nil)
	tb := newBrowser(t, 360)
	tb.open(o.address)
	tb.to("#/v/"+doubtful, doubtful)
	require.Empty(t, tb.text("#outdated"))
	sheet := filepath.Join(o.dir, batch.SheetName)
	text, err := os.ReadFile(sheet)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(sheet, append(text, "QM-999,Russula\n"...), 0o644))
	tb.value("document.querySelector('[data-key=submission-hold]').click()")
	tb.until("document.getElementById('said').textContent.includes('files that were changed since')")
	require.Contains(t, tb.text("#outdated"), batch.SheetName+" was changed")
	require.Contains(t, tb.text("#outdated"), "start it again")
	require.Len(t, o.decisions(t), 1, "written down all the same")
	tb.sound("a page whose sheet was changed")
	tb.noWider("a page whose sheet was changed")
	tb.picture("outdated-360-light")
	tb.quiet(o.origin)
}
