package rules_test

import (
	"bytes"
	"net/http"
	"net/http/httptest"
	"testing"

	"github.com/go-json-experiment/json"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/wattkeel/wattkeel/api"
	"github.com/wattkeel/wattkeel/openapi/conform"
	"github.com/wattkeel/wattkeel/service/rule"
)

// TestRowsOverHTTP sends every row through the whole edge: the answer is the
// one given in process, byte for byte, and it comes again.
func TestRowsOverHTTP(t *testing.T) {
	t.Parallel()
	b, e := loadBook(t), newEngine(rule.All())
	h := contract(t).Watch(t, api.New(api.Config{}).Handler())
	for _, r := range b.Rows {
		q := b.question(t, r)
		want, err := json.Marshal(e.ask(q).document, json.Deterministic(true))
		require.NoError(t, err)
		for range 2 {
			w := send(h, q.kind.path, b.body(t, r))
			require.Equal(t, http.StatusOK, w.Code, "%s: %s", r.Name, w.Body)
			assert.Equal(t, "application/json", w.Header().Get("Content-Type"))
			assert.Equal(t, string(want)+"\n", w.Body.String(), r.Name)
		}
	}
}

func contract(t testing.TB) *conform.Checker {
	t.Helper()
	c, err := conform.New()
	require.NoError(t, err)
	return c
}

func send(h http.Handler, path string, body []byte) *httptest.ResponseRecorder {
	r := httptest.NewRequest(http.MethodPost, path, bytes.NewReader(body))
	r.Header.Set("Content-Type", "application/json")
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	return w
}

// FuzzAnyBody sends anything at all, starting from the rows: never a 5xx, an
// error is always a problem, and verdict stop always comes without settings.
func FuzzAnyBody(f *testing.F) {
	b := loadBook(f)
	for i, r := range b.Rows {
		if i%10 == 0 && (r.Question == chargePlan || r.Question == packCheck) {
			f.Add(b.body(f, r), r.Question == chargePlan)
		}
	}
	for _, s := range []string{"", "{}", "[", `{"pack":null}`, `{"pack":{"cells_series":1e999}}`, `{"a":1,"a":2}`, "{}{}"} {
		f.Add([]byte(s), true)
	}
	s, contract := api.New(api.Config{}), contract(f)
	f.Fuzz(func(t *testing.T, body []byte, plan bool) {
		h := contract.Watch(t, s.Handler())
		path := "/v1/pack-checks"
		if plan {
			path = "/v1/charge-plans"
		}
		w := send(h, path, body)
		require.Less(t, w.Code, 500, "%s", w.Body)
		require.NoError(t, contract.Agree(path, body, w.Code, w.Body.Bytes()))
		if w.Code != http.StatusOK {
			assert.Equal(t, "application/problem+json", w.Header().Get("Content-Type"))
			var p api.Problem
			require.NoError(t, json.Unmarshal(w.Body.Bytes(), &p))
			assert.Equal(t, w.Code, p.Status)
			assert.NotEmpty(t, p.Errors)
			return
		}
		var a struct {
			Verdict  string `json:"verdict"`
			Settings any    `json:"settings"`
			Phases   []any  `json:"phases"`
			Unread   any    `json:",unknown"`
		}
		require.NoError(t, json.Unmarshal(w.Body.Bytes(), &a))
		if plan {
			assert.Equal(t, a.Verdict == "stop", a.Settings == nil)
			assert.Equal(t, a.Verdict == "stop", len(a.Phases) == 0)
		}
	})
}
