package review_test

import (
	"fmt"
	"net/http"
	"net/http/httptest"

	"forayseq/seqqc/review"
)

// A page made elsewhere is refused, token or not.
func ExampleHandler() {
	h := review.Handler((&fake{}).batch(), review.Options{Token: "secret"}, 4711)
	r := httptest.NewRequest(http.MethodGet, "http://127.0.0.1:4711/api/batch", nil)
	r.Header.Set("Authorization", "Bearer secret")
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	fmt.Println(w.Code)
	r.Header.Set("Origin", "http://elsewhere.example")
	w = httptest.NewRecorder()
	h.ServeHTTP(w, r)
	fmt.Println(w.Code)
	// Output:
	// 200
	// 403
}
