package api

import (
	"net/http"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func pageServer(t *testing.T) *Server {
	return testServer(Config{
		Logger: quiet(t), Document: []byte(`{"openapi":"3.1.0"}`),
		Pages: []Page{{Path: "/docs", MediaType: "text/html", Body: []byte("<p>é</p>"), Policy: "default-src 'self'"}},
	}, nil)
}

func TestPagesAreServedAsTheyAre(t *testing.T) {
	s := pageServer(t)
	cases := []struct{ path, media, policy, body string }{
		{"/openapi.json", "application/json", "default-src 'none'; frame-ancestors 'none'", `{"openapi":"3.1.0"}`},
		{"/docs", "text/html; charset=utf-8", "default-src 'self'", "<p>é</p>"},
	}
	for _, c := range cases {
		t.Run(c.path, func(t *testing.T) {
			res := do(s, newRequest(http.MethodGet, c.path, ""))
			body := read(t, res)
			require.Equal(t, http.StatusOK, res.StatusCode)
			assert.Equal(t, c.body, body)
			assert.Equal(t, c.media, res.Header.Get("Content-Type"))
			assert.Equal(t, c.policy, res.Header.Get("Content-Security-Policy"))
			assert.Equal(t, "no-cache", res.Header.Get("Cache-Control"))
			assert.Equal(t, "nosniff", res.Header.Get("X-Content-Type-Options"))
			tag := res.Header.Get("ETag")
			require.Regexp(t, `^"[0-9a-f]{32}"$`, tag) // RFC 9110, section 8.8.3: strong, quoted

			head := do(s, newRequest(http.MethodHead, c.path, ""))
			assert.Empty(t, read(t, head))
			for _, name := range []string{"Content-Type", "Content-Length", "ETag"} {
				assert.Equal(t, res.Header.Get(name), head.Header.Get(name), name)
			}
			again := do(s, newRequest(http.MethodGet, c.path, "", "If-None-Match", `"x", W/`+tag))
			assert.Equal(t, http.StatusNotModified, again.StatusCode)
			assert.Equal(t, tag, again.Header.Get("ETag"))
			assert.Empty(t, read(t, again))
			assert.Equal(t, http.StatusOK, do(s, newRequest(http.MethodGet, c.path, "", "If-None-Match", `"x"`)).StatusCode)

			refused := do(s, newRequest(http.MethodPost, c.path, "{}"))
			assert.Equal(t, "OPTIONS, GET, HEAD", refused.Header.Get("Allow"))
			requireProblem(t, refused, http.StatusMethodNotAllowed)
		})
	}
}

func TestPagesAreServedWhateverIsAccepted(t *testing.T) {
	res := do(pageServer(t), newRequest(http.MethodGet, "/openapi.json?v=2", "", "Accept", "application/pdf"))
	assert.Equal(t, http.StatusOK, res.StatusCode)
}

func TestWithoutADocumentThereIsNone(t *testing.T) {
	requireProblem(t, do(testServer(Config{Logger: quiet(t)}, nil), newRequest(http.MethodGet, "/openapi.json", "")), http.StatusNotFound)
}

func TestAMisspelledPageIsNamed(t *testing.T) {
	p := requireProblem(t, do(pageServer(t), newRequest(http.MethodGet, "/openapi.jsn", "")), http.StatusNotFound)
	assert.Contains(t, p.Detail, `did you mean "/openapi.json"?`)
}
