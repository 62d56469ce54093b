package review_test

import (
	"fmt"
	"testing"
)

func TestLooksOfThePage(t *testing.T) {
	o := openDemo(t, nil)
	tb := newBrowser(t, 1280)
	tb.open(o.address)
	tb.until("document.querySelectorAll('.rows tbody a').length > 30")
	for _, width := range []int64{1280, 360} {
		tb.resize(width)
		for _, scheme := range []string{"light", "dark"} {
			tb.scheme(scheme)
			tb.to("#/", "Vouchers of")
			tb.noWider("the list")
			tb.sound("the list")
			tb.picture(fmt.Sprintf("list-%d-%s", width, scheme))
			tb.to("#/v/QM-119", "QM-119")
			tb.until("document.querySelectorAll('.card').length > 0")
			tb.noWider("a voucher")
			tb.sound("a voucher")
			tb.picture(fmt.Sprintf("voucher-%d-%s", width, scheme))
			const toTrace = `document.querySelector(".read [data-key$='-trace']").click()`
			tb.value(toTrace)
			tb.until("document.querySelectorAll('.trace:not([hidden]) svg').length > 10")
			tb.noWider("a trace")
			tb.sound("a trace")
			tb.picture(fmt.Sprintf("trace-%d-%s", width, scheme))
			tb.value(toTrace)
		}
	}
	tb.quiet(o.origin)
}
