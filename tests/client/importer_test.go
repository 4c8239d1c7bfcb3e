// Package client looks at the Go client from outside, as a module that imports
// it does.
package client

import (
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/wattkeel/wattkeel/api"
)

const module = "github.com/wattkeel/wattkeel"

// outside is a folder with a module of its own that requires this one.
func outside(t *testing.T, source string) func(args ...string) (string, error) {
	t.Helper()
	top, err := filepath.Abs("../..")
	require.NoError(t, err)
	dir := t.TempDir()
	mod := "module example.org/ternquay\n\ngo 1.26.0\n\nrequire " + module + " v0.0.0\n\nreplace " + module + " => " + top + "\n"
	require.NoError(t, os.WriteFile(filepath.Join(dir, "go.mod"), []byte(mod), 0o600))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "main.go"), []byte(source), 0o600))
	return func(args ...string) (string, error) {
		cmd := exec.CommandContext(t.Context(), args[0], args[1:]...)
		cmd.Dir = dir
		// What lists the whole graph of modules may have to fetch: go test alone does
		// not leave every module's go.mod in the cache.
		cmd.Env = append(os.Environ(), "GOFLAGS=-mod=mod", "GOWORK=off", "GOSUMDB=off", "GONOSUMDB=", "GOTOOLCHAIN=local")
		out, err := cmd.CombinedOutput()
		return string(out), err
	}
}

// foreign lists what a program is compiled from beside the standard library and
// itself.
func foreign(t *testing.T, run func(...string) (string, error)) []string {
	t.Helper()
	out, err := run("go", "list", "-deps", "-f", "{{if not .Standard}}{{.ImportPath}}{{end}}", ".")
	require.NoError(t, err, out)
	var packages []string
	for _, p := range strings.Fields(out) {
		if p != "example.org/ternquay" {
			packages = append(packages, p)
		}
	}
	return packages
}

func TestAModuleOfSomebodyElseGetsTheClientAndNothingMore(t *testing.T) {
	source, err := os.ReadFile("testdata/importer/main.go.txt")
	require.NoError(t, err)
	run := outside(t, string(source))
	s := httptest.NewServer(api.New(api.Config{}).Handler())
	defer s.Close()

	out, err := run("go", "vet", ".")
	require.NoError(t, err, out)
	out, err = run("go", "run", ".", s.URL)
	require.NoError(t, err, out)
	assert.Equal(t, "current 2.2\nfault /pack/capacity_mah\n", out)
	out, err = run("ls")
	require.NoError(t, err)
	assert.Equal(t, "go.mod\nmain.go\n", out, "to build with the client takes no other module, and so no go.sum")

	assert.Equal(t, []string{module + "/client"}, foreign(t, run), "the client alone is compiled in")
	modules, err := run("go", "list", "-m", "all")
	require.NoError(t, err, modules)
	require.Contains(t, modules, module)
	assert.NotContains(t, modules, "oapi-codegen", "the generator has a module file of its own")

	// Tidying also wants what the client's own tests are built with.
	before, err := run("cat", "go.mod")
	require.NoError(t, err)
	out, err = run("go", "mod", "tidy")
	require.NoError(t, err, out)
	after, err := run("cat", "go.mod")
	require.NoError(t, err)
	assert.Equal(t, before, after, "the module requires the client and nothing more")
	sums, err := run("cat", "go.sum")
	require.NoError(t, err)
	assert.LessOrEqual(t, strings.Count(sums, "\n"), 40)
	for _, tool := range []string{"kin-openapi", "oapi-codegen"} {
		assert.NotContains(t, sums, tool)
	}
}

// The list can show more: a program that imports the service gets all of it.
func TestAModuleThatImportsTheServiceIsNoticed(t *testing.T) {
	run := outside(t, "package main\n\nimport _ \""+module+"/service/spec\"\n\nfunc main() {}\n")
	packages := foreign(t, run)
	assert.Contains(t, packages, module+"/service/spec")
	assert.Contains(t, packages, "github.com/go-playground/validator/v10")
}
