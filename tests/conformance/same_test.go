package conformance

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// answersOnce is a digest of a round of answers: with and without a trace, from
// the catalogs and in refusal. Of the headers it has those that describe the
// body; the request id is another each time.
func answersOnce(t *testing.T) string {
	t.Helper()
	sum := sha256.New()
	posted := http.Header{"Content-Type": {"application/json"}, "X-Request-Id": {"tq-1"}}
	sound := changed(t, plans, `{"pack":{"cell_voltages_v":[3.71,3.7,3.72]},"goal":{"ready_in_min":90},"curve_points":20}`)
	for _, q := range []question{
		{method: "POST", path: plans, header: posted, body: sound},
		{method: "POST", path: plans, header: http.Header{"Content-Type": {"application/json"}, "Accept": {"text/plain"}}, body: sound},
		{method: "POST", path: plans, query: "trace=full", header: posted, body: sound},
		{method: "POST", path: plans, header: posted, body: changed(t, plans, `{"pack":{"condition":["swollen"]}}`)},
		{method: "POST", path: plans, header: posted, body: []byte(`{"pack":{"z":1,"y":2,"x":3},"a":1,"b":2}`)},
		{method: "POST", path: checks, header: posted, body: changed(t, checks, `{"idle_days":30}`)},
		{method: "GET", path: "/v1/chemistries/{name}", name: "lipo", header: http.Header{}},
		{method: "GET", path: "/v1/rules/{id}", name: "unattended", header: http.Header{}},
	} {
		w := ask(t, &q)
		fmt.Fprintln(sum, w.Code, w.Header().Get("Content-Type"), w.Header().Get("ETag"), w.Header().Get("Cache-Control"), w.Header().Get("Content-Length"))
		sum.Write(w.Body.Bytes())
	}
	return hex.EncodeToString(sum.Sum(nil))
}

// sameAnswers asks many times and returns the one digest of them all.
func sameAnswers(t *testing.T, rounds int) string {
	t.Helper()
	first := answersOnce(t)
	for range rounds - 1 {
		require.Equal(t, first, answersOnce(t))
	}
	return first
}

const asChild = "WATTKEEL_TEST_CHILD"

// The same request gives the same bytes a thousand times.
func TestAPlanIsTheSameAThousandTimes(t *testing.T) {
	body := changed(t, plans, `{"goal":{"ready_in_min":90},"curve_points":3}`)
	_, want := postJSON(t, plans, body)
	for range 1000 {
		_, again := postJSON(t, plans, body)
		require.Equal(t, string(want), string(again))
	}
}

// The same requests give the same bytes in this process and in others with one
// processor and with two.
func TestSameRequestSameBytesInEveryProcess(t *testing.T) {
	want := sameAnswers(t, 20)
	for _, processors := range []string{"1", "2"} {
		child := exec.CommandContext(t.Context(), os.Args[0], "-test.run", "^TestAsAnotherProcess$", "-test.v")
		child.Env = append(os.Environ(), asChild+"=1", "GOMAXPROCS="+processors)
		out, err := child.CombinedOutput()
		require.NoError(t, err, "%s", out)
		assert.Contains(t, string(out), "digest "+want+" on "+processors)
	}
	// The digest tells answers apart.
	other := sha256.Sum256(nil)
	assert.NotEqual(t, hex.EncodeToString(other[:]), want)
}

// TestAsAnotherProcess is what TestSameRequestSameBytesInEveryProcess runs.
func TestAsAnotherProcess(t *testing.T) {
	if os.Getenv(asChild) == "" {
		return
	}
	t.Logf("digest %s on %d", sameAnswers(t, 20), runtime.GOMAXPROCS(0))
}

// The command prints the same bytes too, whatever it runs on.
func TestThePrintedPlanIsTheSameInEveryProcess(t *testing.T) {
	dir := t.TempDir()
	program, file := filepath.Join(dir, "wattkeel"), filepath.Join(dir, "request.json")
	out, err := exec.CommandContext(t.Context(), "go", "build", "-o", program, "../../cmd/wattkeel").CombinedOutput()
	require.NoError(t, err, "%s", out)
	require.NoError(t, os.WriteFile(file, changed(t, plans, `{"curve_points":20}`), 0o600))
	var printed []string
	for _, processors := range []string{"1", "2", "2"} {
		plan := exec.CommandContext(t.Context(), program, "plan", file)
		plan.Env = append(os.Environ(), "GOMAXPROCS="+processors)
		var stdout bytes.Buffer
		plan.Stdout = &stdout
		require.NoError(t, plan.Run())
		printed = append(printed, stdout.String())
	}
	require.NoError(t, checker().JudgeAnswer(http.MethodPost, plans, []byte(printed[0])))
	assert.True(t, strings.HasPrefix(printed[0], "{\n"))
	assert.Equal(t, printed[0], printed[1])
	assert.Equal(t, printed[0], printed[2])
}
