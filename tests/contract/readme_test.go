package contract

import (
	"bytes"
	"flag"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"

	"github.com/go-json-experiment/json/jsontext"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"go.uber.org/goleak"

	"github.com/wattkeel/wattkeel/api"
	"github.com/wattkeel/wattkeel/openapi/conform"
)

// The README's request and answer are real: this test replays the one and
// compares the other. With -update it writes them.
func TestREADMEAnswerIsReal(t *testing.T) {
	request, err := os.ReadFile("testdata/readme-request.json")
	require.NoError(t, err)
	answer := post(t, "/v1/charge-plans", request)
	file := filepath.Join(root(t), "README.md")
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	want := fill(t, string(text), "request", string(bytes.TrimSpace(request)))
	want = fill(t, want, "answer", indented(t, answer))
	if updating() {
		require.NoError(t, os.WriteFile(file, []byte(want), 0o600))
		return
	}
	assert.True(t, want == string(text), "README.md is not what the service answers: run go test ./tests/contract -run README -update")
}

func updating() bool {
	f := flag.Lookup("update")
	return f != nil && f.Value.String() == "true"
}

func TestMain(m *testing.M) {
	flag.Bool("update", false, "write what is generated instead of comparing it")
	flag.Parse()
	goleak.VerifyTestMain(m)
}

// checker judges every answer that a test of this package gets.
var checker = sync.OnceValue(func() *conform.Checker {
	c, err := conform.New()
	if err != nil {
		panic(err)
	}
	return c
})

// post asks the whole service, in process.
func post(t *testing.T, path string, body []byte) []byte {
	t.Helper()
	r := httptest.NewRequest(http.MethodPost, path, bytes.NewReader(body))
	r.Header.Set("Content-Type", "application/json")
	w := httptest.NewRecorder()
	checker().Watch(t, api.New(api.Config{}).Handler()).ServeHTTP(w, r)
	require.Equal(t, http.StatusOK, w.Code, w.Body.String())
	return w.Body.Bytes()
}

// indented is an answer as a person reads it: short lists and objects that fit
// a line stay on one.
func indented(t *testing.T, answer []byte) string {
	t.Helper()
	v := jsontext.Value(answer)
	require.NoError(t, v.Indent(jsontext.WithIndent("  ")))
	text := string(bytes.TrimSpace(v))
	const width = 150
	inner := regexp.MustCompile(`[{\[]\n\s+[^{}\[\]]*?\n\s*[}\]]`)
	for range 4 { // from the inside out
		text = inner.ReplaceAllStringFunc(text, func(s string) string {
			one := regexp.MustCompile(`\n\s*`).ReplaceAllString(s, " ")
			if len(one) > width {
				return s
			}
			return one
		})
	}
	return text
}

func fill(t *testing.T, text, block, body string) string {
	t.Helper()
	start := strings.Index(text, "<!-- "+block+":")
	require.GreaterOrEqual(t, start, 0)
	open := start + strings.Index(text[start:], "```json\n") + len("```json\n")
	end := open + strings.Index(text[open:], "```\n<!-- end -->")
	require.Greater(t, end, open-1)
	return text[:open] + body + "\n" + text[end:]
}
