package main

import (
	"bytes"
	"context"
	"errors"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/go-json-experiment/json/jsontext"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/wattkeel/wattkeel/openapi"
	"github.com/wattkeel/wattkeel/openapi/conform"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/spec"
	"go.uber.org/goleak"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

func contract(t *testing.T) *conform.Checker {
	t.Helper()
	c, err := conform.New()
	require.NoError(t, err)
	return c
}

const goodPlan = `{
  "pack": {"chemistry": "lipo", "cells_series": 3, "capacity_mah": 2200},
  "charger": {"chemistries": ["lipo"], "cells_series_min": 1, "cells_series_max": 6, "max_charge_current_a": 6, "balance": "with_main_lead"}
}`

// result is what a call of the program left behind.
type result struct {
	code           int
	stdout, stderr string
}

func noEnvironment(string) string { return "" }

func program(t *testing.T, stdin string, args ...string) result {
	t.Helper()
	return programWith(t, noEnvironment, strings.NewReader(stdin), args...)
}

func programWith(t *testing.T, env func(string) string, stdin io.Reader, args ...string) result {
	t.Helper()
	var stdout, stderr bytes.Buffer
	code := run(t.Context(), args, env, stdin, &stdout, &stderr)
	return result{code, stdout.String(), stderr.String()}
}

func file(t *testing.T, content string) string {
	t.Helper()
	name := filepath.Join(t.TempDir(), "request.json")
	require.NoError(t, os.WriteFile(name, []byte(content), 0o600))
	return name
}

func TestUsage(t *testing.T) {
	cases := []struct {
		name   string
		args   []string
		code   int
		stdout string
		stderr string
	}{
		{"gave no command", nil, exitBroken, "", "Usage: wattkeel COMMAND"},
		{"asked for help", []string{"help"}, exitOK, "Usage: wattkeel COMMAND", ""},
		{"asked for help with a flag", []string{"--help"}, exitOK, "Usage: wattkeel COMMAND", ""},
		{"asked for help with a short flag", []string{"-h"}, exitOK, "serve", ""},
		{"misspelled a command", []string{"serv"}, exitBroken, "", `there is no command "serv"; did you mean "serve"?`},
		{"made a command up", []string{"fly-away"}, exitBroken, "", `there is no command "fly-away"` + "\n"},
		{"asked for the help of serve", []string{"serve", "--help"}, exitOK, "--listen STRING", ""},
		{"asked for the help of plan", []string{"plan", "-h"}, exitOK, "Usage: wattkeel plan [flags] FILE", ""},
		{"misspelled a flag", []string{"serve", "--lisen", "x"}, exitBroken, "", "did you mean --listen?"},
		{"made a flag up", []string{"serve", "--zzzzzzzzzz=3"}, exitBroken, "", "flag provided but not defined: -zzzzzzzzzz"},
		{"gave a flag a wrong value", []string{"serve", "--max-in-flight", "many"}, exitBroken, "", `invalid value "many"`},
		{"gave a flag no value", []string{"serve", "--listen"}, exitBroken, "", "needs an argument"},
		{"let no request in", []string{"serve", "--max-in-flight", "0"}, exitBroken, "", "--max-in-flight must be 1 or more"},
		{"let no request wait", []string{"serve", "--max-queue", "-1"}, exitBroken, "", "--max-queue must be 1 or more"},
		{"let no body in", []string{"serve", "--body-limit", "0"}, exitBroken, "", "--body-limit must be 1 or more"},
		{"gave no time", []string{"serve", "--read-timeout", "0s"}, exitBroken, "", "--read-timeout"},
		{"drained backwards", []string{"serve", "--drain", "-1s"}, exitBroken, "", "--drain"},
		{"gave serve an argument", []string{"serve", "8080"}, exitBroken, "", `unexpected argument "8080"`},
		{"gave serve half an address", []string{"serve", "--listen", "8080"}, exitNo, "", "HOST:PORT"},
		{"gave plan no file", []string{"plan"}, exitBroken, "", "name one file"},
		{"asked for a plan in a form that there is not", []string{"plan", "--format", "txt", "a"}, exitBroken, "", `wattkeel plan: --format is "txt"; write one of json, text (did you mean "text"?)`},
		{"gave plan two files", []string{"plan", "a", "b"}, exitBroken, "", "name one file"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			r := program(t, "", c.args...)
			assert.Equal(t, c.code, r.code)
			requireOutput(t, c.stdout, r.stdout)
			requireOutput(t, c.stderr, r.stderr)
		})
	}
}

func requireOutput(t *testing.T, want, got string) {
	t.Helper()
	if want == "" {
		require.Empty(t, got)
		return
	}
	require.Contains(t, got, want)
}

func TestOpenAPIPrintsTheDocument(t *testing.T) {
	r := program(t, "", "openapi")
	assert.Equal(t, exitOK, r.code)
	assert.Empty(t, r.stderr)
	assert.Equal(t, string(openapi.JSON()), r.stdout)
	assert.True(t, jsontext.Value(r.stdout).IsValid())
	assert.Contains(t, r.stdout, `"openapi": "3.1.0"`)
	assert.Contains(t, program(t, "", "openapi", "--help").stdout, "Usage: wattkeel openapi")
	assert.Equal(t, exitBroken, program(t, "", "openapi", "--yaml").code)

	var stderr bytes.Buffer
	assert.Equal(t, exitNo, run(t.Context(), []string{"openapi"}, noEnvironment, strings.NewReader(""), full{}, &stderr))
	assert.Contains(t, stderr.String(), "no space left")
}

func TestVersion(t *testing.T) {
	r := program(t, "", "version")
	assert.Equal(t, exitOK, r.code)
	v := rule.Versions()
	for _, version := range []string{v.Service, v.Rules, v.Data, runtime.Version()} {
		assert.NotEmpty(t, version)
		assert.Contains(t, r.stdout, " "+version+"\n")
	}
	assert.Empty(t, r.stderr)
}

func TestPlanPrintsJSON(t *testing.T) {
	name := file(t, goodPlan)
	r := program(t, "", "plan", name)
	assert.NotEqual(t, exitBroken, r.code, r.stderr)
	assert.Empty(t, r.stderr)
	assert.NoError(t, contract(t).JudgeAnswer(http.MethodPost, "/v1/charge-plans", []byte(r.stdout)))
	assert.True(t, strings.HasPrefix(r.stdout, "{\n  \"verdict\": "), r.stdout)
	assert.True(t, strings.HasSuffix(r.stdout, "\n}\n"))
	assert.Equal(t, r, program(t, goodPlan, "plan", "-"))
	assert.Equal(t, r, program(t, "", "plan", name))
}

func TestPlanPrintsTextForAPerson(t *testing.T) {
	r := program(t, goodPlan, "plan", "--format", "text", "-")
	assert.Empty(t, r.stderr)
	assert.Equal(t, exitOK, r.code)
	assert.True(t, strings.HasPrefix(r.stdout, "CLEAR: "), r.stdout)
	assert.Contains(t, r.stdout, "\n- Current: 2.2 A (1 C)\n")
	assert.True(t, strings.HasSuffix(r.stdout, "\n") && !strings.HasSuffix(r.stdout, "\n\n"))

	env := func(format string) func(string) string {
		return func(name string) string { return map[string]string{"WATTKEEL_FORMAT": format}[name] }
	}
	assert.Equal(t, r, programWith(t, env("text"), strings.NewReader(goodPlan), "plan", "-"))
	assert.Equal(t, program(t, goodPlan, "plan", "-"), programWith(t, env("text"), strings.NewReader(goodPlan), "plan", "--format", "json", "-"))
	assert.Equal(t, exitBroken, programWith(t, env("html"), strings.NewReader(goodPlan), "plan", "-").code)

	swollen := strings.Replace(goodPlan, `"capacity_mah": 2200`, `"capacity_mah": 2200, "condition": ["swollen"]`, 1)
	r = program(t, swollen, "plan", "--format=text", "-")
	assert.Equal(t, exitNo, r.code)
	assert.True(t, strings.HasPrefix(r.stdout, "STOP: "), r.stdout)
	var stderr bytes.Buffer
	assert.Equal(t, exitBroken, run(t.Context(), []string{"plan", "--format=text", "-"}, noEnvironment, strings.NewReader(goodPlan), full{}, &stderr))
	assert.Contains(t, stderr.String(), "no space left")
}

func TestPlanExitsByVerdict(t *testing.T) {
	assert.Equal(t, 0, exitOf(spec.VerdictClear))
	assert.Equal(t, 0, exitOf(spec.VerdictCaution))
	assert.Equal(t, 1, exitOf(spec.VerdictStop))

	swollen := program(t, strings.Replace(goodPlan, `"capacity_mah": 2200`, `"capacity_mah": 2200, "condition": ["swollen"]`, 1), "plan", "-")
	assert.Equal(t, 1, swollen.code, swollen.stderr)
	assert.Empty(t, swollen.stderr)
	assert.Contains(t, swollen.stdout, `"verdict": "stop"`)
	assert.NoError(t, contract(t).JudgeAnswer(http.MethodPost, "/v1/charge-plans", []byte(swollen.stdout)))
}

func TestPlanNamesEveryFaultOfAFile(t *testing.T) {
	cases := []struct {
		name, content string
		lines         []string // each behind the name of the file
	}{
		{"sent nothing", "", []string{"(document): the body is empty"}},
		{"forgot a brace", "{\n", []string{"(document): line 2, column 1: "}},
		{"left a comma behind", "{\"pack\": {\"cell_voltages_v\": [3.7,]}}", []string{"/pack/cell_voltages_v: line 1, column 34: there is a comma"}},
		{
			"made three mistakes", strings.NewReplacer(`"lipo", "cells_series": 3`, `"lypo", "cells_series": "3"`, `"balance"`, `"ballance"`).Replace(goodPlan),
			[]string{`/pack/cells_series: cells_series is the string "3"; remove the quotes: 3`, `/charger/ballance: "ballance" is not a field of charger; did you mean "balance"?`, `/pack/chemistry: chemistry is "lypo"`},
		},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			name := file(t, c.content)
			r := program(t, "", "plan", name)
			assert.Equal(t, exitBroken, r.code)
			assert.Empty(t, r.stdout)
			lines := strings.Split(strings.TrimSuffix(r.stderr, "\n"), "\n")
			require.Len(t, lines, len(c.lines), r.stderr)
			for i, line := range lines {
				assert.True(t, strings.HasPrefix(line, name+": "+c.lines[i]), line)
			}
		})
	}
}

// broken is standard input that cannot be read.
type broken struct{}

func (broken) Read([]byte) (int, error) { return 0, errors.New("input/output error") }

func TestPlanSaysWhyAFileCannotBeRead(t *testing.T) {
	missing := filepath.Join(t.TempDir(), "missing.json")
	r := program(t, "", "plan", missing)
	assert.Equal(t, result{exitBroken, "", missing + ": no such file or directory\n"}, r)

	r = program(t, "", "plan", t.TempDir())
	assert.Equal(t, exitBroken, r.code)
	assert.Contains(t, r.stderr, "is a directory")

	r = programWith(t, noEnvironment, broken{}, "plan", "-")
	assert.Equal(t, exitBroken, r.code)
	assert.Contains(t, r.stderr, "-: read the document: input/output error")

	r = program(t, goodPlan, "plan", "--body-limit", "10", "-")
	assert.Equal(t, exitBroken, r.code)
	assert.Contains(t, r.stderr, "larger than 10 bytes")
}

// full is an output that takes nothing more.
type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("no space left on device") }

func TestPlanSaysThatItsOutputIsFull(t *testing.T) {
	var stderr bytes.Buffer
	code := run(context.Background(), []string{"plan", "-"}, noEnvironment, strings.NewReader(goodPlan), full{}, &stderr)
	assert.Equal(t, exitBroken, code)
	assert.Contains(t, stderr.String(), "no space left")
}

func TestEveryFlagHasItsVariable(t *testing.T) {
	env := func(name string) string {
		return map[string]string{"WATTKEEL_BODY_LIMIT": "10"}[name]
	}
	r := programWith(t, env, strings.NewReader(goodPlan), "plan", "-")
	assert.Contains(t, r.stderr, "larger than 10 bytes")
	r = programWith(t, env, strings.NewReader(goodPlan), "plan", "--body-limit", "10000", "-")
	assert.Empty(t, r.stderr, "the flag wins")

	wrong := func(string) string { return "many" }
	r = programWith(t, wrong, strings.NewReader(""), "plan", "-")
	assert.Equal(t, exitBroken, r.code)
	assert.Contains(t, r.stderr, `invalid value "many" in WATTKEEL_BODY_LIMIT`)

	help := program(t, "", "serve", "--help").stdout
	for _, name := range []string{"LISTEN", "BODY_LIMIT", "MAX_IN_FLIGHT", "MAX_QUEUE", "QUEUE_WAIT", "READ_TIMEOUT", "WRITE_TIMEOUT", "DRAIN", "GRACE"} {
		assert.Contains(t, help, "[WATTKEEL_"+name+"]")
	}
}
