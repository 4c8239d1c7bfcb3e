package conform_test

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/wattkeel/wattkeel/openapi/conform"
)

const (
	live    = `{"status":"ok"}`
	text    = "CLEAR: this pack can be charged.\n"
	problem = `{"type":"/problems/not-found","title":"There is nothing here","status":404,"detail":"x","instance":"id-1"}`
)

// good are exchanges as the document has them; each spoiled one below changes
// one thing about one of them.
func good() map[string]conform.Exchange {
	header := func(pairs ...string) http.Header {
		h := http.Header{}
		for i := 0; i < len(pairs); i += 2 {
			h.Set(pairs[i], pairs[i+1])
		}
		return h
	}
	common := []string{"X-Request-Id", "id-1", "Vary", "Accept", "Cache-Control", "no-store"}
	as := func(media string, more ...string) http.Header {
		return header(append(append([]string{"Content-Type", media}, common...), more...)...)
	}
	media := strings.NewReplacer("not-found", "unsupported-media-type", "404", "415").Replace(problem)
	method := strings.NewReplacer("not-found", "method-not-allowed", "404", "405").Replace(problem)
	busy := strings.NewReplacer("not-found", "overloaded", "404", "503").Replace(problem)
	return map[string]conform.Exchange{
		"live":       {Method: "GET", Path: "/livez", Status: 200, Header: as("application/json"), Body: []byte(live)},
		"text":       {Method: "POST", Path: "/v1/charge-plans", Status: 200, Header: as("text/plain; charset=utf-8"), Body: []byte(text)},
		"head":       {Method: "HEAD", Path: "/livez", Status: 200, Header: as("application/json")},
		"no path":    {Method: "GET", Path: "/nowhere", Status: 404, Header: as("application/problem+json"), Body: []byte(problem)},
		"no entry":   {Method: "GET", Path: "/v1/rules/x%2Fy", Status: 404, Header: as("application/problem+json"), Body: []byte(problem)},
		"no name":    {Method: "PUT", Path: "/v1/rules/", Status: 404, Header: as("application/problem+json"), Body: []byte(problem)},
		"no method":  {Method: "PUT", Path: "/v1/rules", Status: 405, Header: as("application/problem+json", "Allow", "OPTIONS, GET, HEAD"), Body: []byte(method)},
		"options":    {Method: "OPTIONS", Path: "/v1/pack-checks", Status: 204, Header: header("X-Request-Id", "id-1", "Allow", "OPTIONS, POST")},
		"unmodified": {Method: "GET", Path: "/v1/rules", Status: 304, Header: header("X-Request-Id", "id-1", "Vary", "Accept", "Cache-Control", "no-cache", "ETag", `"x"`)},
		"not JSON":   {Method: "POST", Path: "/v1/pack-checks", Status: 415, Header: as("application/problem+json", "Accept", "application/json"), Body: []byte(media)},
		"busy":       {Method: "GET", Path: "/v1/rules", Status: 503, Header: as("application/problem+json", "Retry-After", "1"), Body: []byte(busy)},
	}
}

func checker(t *testing.T) *conform.Checker {
	t.Helper()
	c, err := conform.New()
	require.NoError(t, err)
	return c
}

func TestGoodExchangesPass(t *testing.T) {
	c := checker(t)
	for name, x := range good() {
		assert.NoError(t, c.Judge(x), name)
	}
}

func TestSpoiledExchangesAreNoticed(t *testing.T) {
	body := func(old, put string) func(*conform.Exchange) {
		return func(x *conform.Exchange) {
			spoiled := strings.Replace(string(x.Body), old, put, 1)
			if spoiled == string(x.Body) {
				panic("nothing was spoiled: " + old)
			}
			x.Body = []byte(spoiled)
		}
	}
	head := func(name, value string) func(*conform.Exchange) {
		return func(x *conform.Exchange) { x.Header.Set(name, value) }
	}
	without := func(name string) func(*conform.Exchange) {
		return func(x *conform.Exchange) { x.Header.Del(name) }
	}
	status := func(n int) func(*conform.Exchange) { return func(x *conform.Exchange) { x.Status = n } }
	cases := []struct {
		name, of string
		spoil    func(*conform.Exchange)
		words    string
	}{
		{"an undocumented status", "live", status(201), "201 is not documented"},
		{"a documented status with the body of another", "live", status(405), "application/json"},
		{"a server error where none is documented", "live", status(502), "502"},
		{"200 for a path that there is not", "no path", status(200), "instead of 404"},
		{"200 for a method that there is not", "no method", status(200), "instead of 405"},
		{"another media type", "live", head("Content-Type", "text/html"), "text/html"},
		{"no media type", "live", without("Content-Type"), `""`},
		{"a text in another charset", "text", head("Content-Type", "text/plain; charset=latin1"), "latin1"},
		{"a text in no charset", "text", head("Content-Type", "text/plain"), "charset=utf-8"},
		{"a text that is not UTF-8", "text", body("CLEAR", "CL\xff"), "not UTF-8"},
		{"a text that is empty", "text", func(x *conform.Exchange) { x.Body = nil }, "minLength"},
		{"a text that is too long", "text", body("CLEAR", strings.Repeat("C", 1<<20)), "maxLength"},
		{"a text of an operation that has none", "live", head("Content-Type", "text/plain; charset=utf-8"), "text/plain"},
		{"JSON with a charset", "live", head("Content-Type", "application/json; charset=utf-8"), "charset=utf-8"},
		{"an error as plain JSON", "no path", head("Content-Type", "application/json"), "application/json"},
		{"a missing header", "live", without("Cache-Control"), "Cache-Control"},
		{"a header twice", "live", func(x *conform.Exchange) { x.Header.Add("Vary", "Accept") }, "Vary"},
		{"a header that is empty", "live", head("Vary", ""), "minLength"},
		{"a header that is too long", "live", head("Vary", strings.Repeat("x", 129)), "maxLength"},
		{"a header that should be a number", "busy", head("Retry-After", "soon"), "Retry-After"},
		{"a header out of bounds", "busy", head("Retry-After", "0"), "minimum"},
		{"neither of two headers", "not JSON", without("Accept"), "Accept-Encoding"},
		{"no request id", "no path", without("X-Request-Id"), "X-Request-Id"},
		{"no Allow", "no method", without("Allow"), "allow"},
		{"too little in Allow", "no method", head("Allow", "OPTIONS, GET"), "leaves out"},
		{"too much in Allow", "options", head("Allow", "OPTIONS, POST, PUT"), "PUT"},
		{"no entity tag", "unmodified", without("ETag"), "Etag"},
		{"a body where there is none", "unmodified", func(x *conform.Exchange) { x.Body = []byte("{}") }, "no body"},
		{"a body for HEAD", "head", func(x *conform.Exchange) { x.Body = []byte(live) }, "HEAD"},
		{"no body", "live", func(x *conform.Exchange) { x.Body = nil }, "not JSON"},
		{"a body that is cut", "live", body("}", ""), "not JSON"},
		{"two bodies", "live", func(x *conform.Exchange) { x.Body = append(x.Body, "{}"...) }, "not JSON"},
		{"a member of another type", "live", body(`"ok"`, "1"), "got number, want string"},
		{"null", "live", body(`"ok"`, "null"), "got null, want string"},
		{"a member that is missing", "live", body(`"status":"ok"`, ""), "missing property"},
		{"a member too many", "live", body("}", `,"extra":1}`), "additional properties"},
		{"a member too many in an error", "no entry", body("}", `,"extra":1}`), "additional properties"},
		{"a text that is too long", "live", body("ok", strings.Repeat("o", 17)), "maxLength"},
		{"a number out of bounds", "no path", body("404", "600"), "maximum"},
		{"a status that is not that of the answer", "no path", body("404", "405"), "status 405"},
		{"an instance that is not the request id", "no entry", body("id-1", "id-2"), "id-2"},
	}
	c := checker(t)
	for _, k := range cases {
		t.Run(k.name, func(t *testing.T) {
			x := good()[k.of]
			k.spoil(&x)
			assert.ErrorContains(t, c.Judge(x), k.words)
		})
	}
}

// complaints collects what a test would be told.
type complaints struct{ said []string }

func (c *complaints) Helper() {}
func (c *complaints) Errorf(format string, args ...any) {
	c.said = append(c.said, fmt.Sprintf(format, args...))
}

func TestHandlersAndTransportsAreWatched(t *testing.T) {
	c := checker(t)
	wrong := http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		w.WriteHeader(http.StatusTeapot)
		_, _ = w.Write([]byte("short and stout"))
	})
	var said complaints
	w := httptest.NewRecorder()
	watched := c.Watch(&said, wrong)
	watched.ServeHTTP(w, httptest.NewRequest(http.MethodGet, "/livez", nil))
	assert.Equal(t, http.StatusTeapot, w.Code)
	assert.Equal(t, "short and stout", w.Body.String())
	require.Len(t, said.said, 1)
	assert.Contains(t, said.said[0], "418")
	watched.ServeHTTP(httptest.NewRecorder(), httptest.NewRequest(http.MethodGet, "/test/of-its-own", nil))
	watched.ServeHTTP(httptest.NewRecorder(), httptest.NewRequest(http.MethodGet, "/openapi.json", nil))
	assert.Len(t, said.said, 1, "neither is in the document")

	ts := httptest.NewServer(wrong)
	defer ts.Close()
	client := &http.Client{Transport: c.Transport(&said, ts.Client().Transport)}
	defer client.CloseIdleConnections()
	res, err := client.Get(ts.URL + "/livez")
	require.NoError(t, err)
	require.NoError(t, res.Body.Close())
	assert.Len(t, said.said, 2)
}

func TestBodiesAreJudgedAloneToo(t *testing.T) {
	c := checker(t)
	pack := `{"pack":{"chemistry":"lipo","cells_series":3,"capacity_mah":2200}}`
	assert.NoError(t, c.JudgeRequest(http.MethodPost, "/v1/pack-checks", []byte(pack)))
	assert.Error(t, c.JudgeRequest(http.MethodPost, "/v1/pack-checks", []byte(strings.Replace(pack, "3", "33", 1))))
	assert.Error(t, c.JudgeRequest(http.MethodPost, "/v1/charge-plans", []byte(pack)))
	assert.ErrorContains(t, c.JudgeRequest(http.MethodGet, "/livez", nil), "no body")
	assert.NoError(t, c.JudgeAnswer(http.MethodGet, "/livez", []byte(live)))
	assert.Error(t, c.JudgeAnswer(http.MethodGet, "/livez", []byte(`{}`)))
	assert.Error(t, c.JudgeAnswer(http.MethodGet, "/nowhere", []byte(live)))

	// The ids of rules may grow, but those there are now are known.
	const check = `{"verdict":"clear","findings":[],"not_evaluated":[{"rule":"unattended","missing":["/surroundings/attended"]}],"versions":{"service":"1","rules":"1","data":"1"}}`
	assert.NoError(t, c.JudgeAnswer(http.MethodPost, "/v1/pack-checks", []byte(check)))
	assert.Error(t, c.JudgeAnswer(http.MethodPost, "/v1/pack-checks", []byte(strings.Replace(check, "unattended", "unheard-of", 1))))
}

func TestADocumentThatIsNoneIsRefused(t *testing.T) {
	for _, document := range []string{"", "[]", "{}", `{"paths":{}}`, `{"paths":{"/x":{"get":{"responses":{"ok":{}}}}},"components":{"schemas":{"Problem":{}}}}`} {
		_, err := conform.Of([]byte(document))
		assert.Error(t, err, document)
	}
}

func TestDisagreementsAreNoticed(t *testing.T) {
	c := checker(t)
	const path = "/v1/pack-checks"
	const valid = `{"pack":{"chemistry":"lipo","cells_series":3,"capacity_mah":2200}}`
	fault := func(rule string) string { return `{"errors":[{"rule":"` + rule + `"}]}` }
	for _, k := range []struct {
		name, body string
		status     int
		answer     string
		agree      bool
	}{
		{"valid, answered", valid, 200, "{}", true},
		{"valid, contradicted", valid, 422, fault("one-goal"), true},
		{"valid, refused for its type", valid, 422, fault("type"), false},
		{"valid, refused without a reason", valid, 422, `{}`, false},
		{"valid, refused as no JSON", valid, 400, fault("syntax"), false},
		{"valid, and the service failed", valid, 500, `{}`, false},
		{"invalid, refused", `{"pack":{}}`, 422, fault("required"), true},
		{"invalid, answered", `{"pack":{}}`, 200, `{}`, false},
		{"invalid, and the service failed", `{"pack":{}}`, 500, `{}`, false},
		{"not JSON, refused", `{`, 400, fault("syntax"), true},
		{"not JSON, answered", `{`, 200, `{}`, false},
		{"a name twice, refused as invalid", `{"pack":1,"pack":1}`, 422, fault("type"), false},
		{"two texts", valid + "{}", 200, `{}`, false},
		{"a number beyond a double", `{"x":1e999}`, 422, fault("type"), false},
		{"too deep", strings.Repeat("[", 17) + strings.Repeat("]", 17), 422, fault("type"), false},
		{"just not too deep", strings.Repeat("[", 16) + strings.Repeat("]", 16), 422, fault("type"), true},
	} {
		err := c.Agree(path, []byte(k.body), k.status, []byte(k.answer))
		assert.Equal(t, k.agree, err == nil, "%s: %v", k.name, err)
	}
}
