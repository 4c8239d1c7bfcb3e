// Package contract holds what crosses packages: the policy of the house, and
// later what every answer on the wire must be.
package contract

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// POLICY. Which packages of ours a package may import. A folder that is not
// listed fails the test: decide where it stands first.
func allowed() map[string][]string {
	const all = "service/..."
	kernels := []string{"service/sim", "service/rule", "service/cell", "service/spec", "service/trace"}
	planned := append([]string{"service/charge"}, kernels...)
	return map[string][]string{
		"cmd/wattkeel":      {"api", "api/render", "api/web", all, "openapi", "client"},
		"api":               {"api/render", all},
		"api/render":        {"service/spec", "service/charge", "service/runtime", "service/storage"},
		"api/web":           {},
		"service/spec":      {},
		"service/cell":      {"service/spec"},
		"service/sim":       {"service/cell"},
		"service/rule":      {"service/spec", "service/cell"},
		"service/trace":     {"service/spec", "service/cell", "service/rule"},
		"service/charge":    kernels,
		"service/drain":     kernels,
		"service/check":     planned,
		"service/storage":   planned,
		"service/transport": {"service/rule", "service/cell", "service/spec"},
		"service/label":     {"service/rule", "service/cell", "service/spec"},
		"service/chemistry": kernels,
		"service/runtime":   kernels,
		"openapi":           {},
		"client":            {},
		"openapi/gen":       {"api", all},
		"openapi/conform":   {"openapi"},
	}
}

// POLICY. What nothing under service may touch: the network, the web
// framework, the document, chance, and the clock (reading a date is fine).
func forbiddenInService() []string {
	return []string{
		"net", "net/http", "os", "math/rand", "math/rand/v2", "crypto/rand",
		"github.com/labstack/echo/v4", "github.com/getkin/kin-openapi/openapi3",
	}
}

func clocks() []string {
	return []string{"Now", "Since", "Until", "After", "AfterFunc", "Tick", "NewTicker", "NewTimer", "Sleep"}
}

// POLICY. What may stand at the top of the repository, beside dot files.
func topLevel() []string {
	return []string{"api", "service", "openapi", "client", "cmd", "tests", "go.mod", "go.sum", "Dockerfile", "README.md", "DEVELOPERS.md", "LICENSE"}
}

const module = "github.com/wattkeel/wattkeel/"

func root(t *testing.T) string {
	t.Helper()
	dir, err := filepath.Abs("../..")
	require.NoError(t, err)
	return dir
}

// source is one Go file of ours.
type source struct {
	folder, name string
	lines        int
	file         *ast.File
}

func sources(t *testing.T) []source {
	t.Helper()
	var out []source
	top := root(t)
	err := filepath.WalkDir(top, func(p string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() {
			if p != top && (strings.HasPrefix(d.Name(), ".") || d.Name() == "testdata") {
				return filepath.SkipDir
			}
			return nil
		}
		if !strings.HasSuffix(p, ".go") {
			return nil
		}
		text, err := os.ReadFile(p)
		if err != nil {
			return err
		}
		file, err := parser.ParseFile(token.NewFileSet(), p, text, parser.SkipObjectResolution|parser.ParseComments)
		if err != nil {
			return err
		}
		rel, err := filepath.Rel(top, p)
		if err != nil {
			return err
		}
		out = append(out, source{folder: path.Dir(filepath.ToSlash(rel)), name: d.Name(), lines: strings.Count(string(text), "\n"), file: file})
		return nil
	})
	require.NoError(t, err)
	require.Greater(t, len(out), 50, "the walk must have found the repository")
	return out
}

// generated reports whether a program wrote the file, by the standard line
// "// Code generated … DO NOT EDIT." before its package clause.
func (s source) generated() bool { return ast.IsGenerated(s.file) }

func (s source) test() bool {
	return strings.HasSuffix(s.name, "_test.go") || strings.HasPrefix(s.folder, "tests/")
}

func (s source) imports(t *testing.T) []string {
	t.Helper()
	var out []string
	for _, i := range s.file.Imports {
		p, err := strconv.Unquote(i.Path.Value)
		require.NoError(t, err)
		out = append(out, p)
	}
	return out
}

func permits(list []string, target string) bool {
	return slices.ContainsFunc(list, func(a string) bool {
		prefix, open := strings.CutSuffix(a, "/...")
		return a == target || open && strings.HasPrefix(target, prefix+"/")
	})
}

func TestPolicyImports(t *testing.T) {
	for _, s := range sources(t) {
		if s.test() {
			continue
		}
		list, known := allowed()[s.folder]
		assert.True(t, known, "%s/%s: this folder has no place in the policy", s.folder, s.name)
		for _, p := range s.imports(t) {
			if ours, is := strings.CutPrefix(p, module); is {
				assert.True(t, permits(list, ours), "%s/%s imports %s", s.folder, s.name, ours)
			}
			if strings.HasPrefix(s.folder, "service/") {
				assert.NotContains(t, forbiddenInService(), p, "%s/%s", s.folder, s.name)
			}
		}
	}
}

func TestPolicyNoClockInService(t *testing.T) {
	for _, s := range sources(t) {
		if s.test() || !strings.HasPrefix(s.folder, "service/") {
			continue
		}
		ast.Inspect(s.file, func(n ast.Node) bool {
			call, is := n.(*ast.SelectorExpr)
			if !is {
				return true
			}
			if x, is := call.X.(*ast.Ident); is && x.Name == "time" {
				assert.NotContains(t, clocks(), call.Sel.Name, "%s/%s", s.folder, s.name)
			}
			return true
		})
	}
}

// No globals and no init: what a package needs is built once and handed on. A
// file can only be embedded in a package variable, and that is let through; so
// is what a program wrote.
func TestPolicyNoGlobalsNoInit(t *testing.T) {
	for _, s := range sources(t) {
		if s.test() || s.generated() {
			continue
		}
		for _, d := range s.file.Decls {
			switch d := d.(type) {
			case *ast.FuncDecl:
				assert.False(t, d.Recv == nil && d.Name.Name == "init", "%s/%s has an init", s.folder, s.name)
			case *ast.GenDecl:
				assert.False(t, d.Tok == token.VAR && !embeds(d), "%s/%s has a package variable", s.folder, s.name)
			}
		}
	}
}

// embeds reports whether a declaration is one variable that a file is embedded in.
func embeds(d *ast.GenDecl) bool {
	return d.Doc != nil && len(d.Specs) == 1 && slices.ContainsFunc(d.Doc.List, func(c *ast.Comment) bool {
		return strings.HasPrefix(c.Text, "//go:embed ")
	})
}

func TestPolicyFilesCanBeHeldInTheHead(t *testing.T) {
	written := 0
	for _, s := range sources(t) {
		if s.generated() {
			continue
		}
		written++
		assert.LessOrEqual(t, s.lines, 400, "%s/%s", s.folder, s.name)
	}
	require.Greater(t, written, 50)
}

func TestPolicyTopLevel(t *testing.T) {
	entries, err := os.ReadDir(root(t))
	require.NoError(t, err)
	for _, e := range entries {
		if !strings.HasPrefix(e.Name(), ".") {
			assert.Contains(t, topLevel(), e.Name())
		}
	}
}

// The library that the document is made with is for making it. What is served
// is the finished text.
func TestPolicyTheServiceDoesNotCarryTheGenerator(t *testing.T) {
	out, err := exec.CommandContext(t.Context(), "go", "list", "-deps", module+"cmd/wattkeel", module+"openapi/gen").Output()
	require.NoError(t, err)
	require.Contains(t, string(out), "kin-openapi", "the generator uses it, so the list must show it")
	out, err = exec.CommandContext(t.Context(), "go", "list", "-deps", module+"cmd/wattkeel").Output()
	require.NoError(t, err)
	require.Contains(t, string(out), module+"openapi\n")
	for _, generator := range []string{"kin-openapi", module + "openapi/gen", "go/parser"} {
		assert.NotContains(t, string(out), generator)
	}
}

// The policy can fail.
func TestPolicyNoticesAForbiddenArrow(t *testing.T) {
	assert.False(t, permits(allowed()["service/cell"], "service/charge"))
	assert.False(t, permits(allowed()["service/spec"], "service/cell"))
	assert.True(t, permits(allowed()["api"], "service/charge"))
	assert.False(t, permits(allowed()["api"], "cmd/wattkeel"))
	assert.False(t, permits(allowed()["api"], "openapi"))
	assert.False(t, permits(allowed()["client"], "service/spec"))
}

func TestPolicyExceptsOnlyWhatAProgramWrote(t *testing.T) {
	for text, want := range map[string]bool{
		"// Code generated by a tool; DO NOT EDIT.\n\npackage x":   true,
		"// Code generated by a tool.\n\npackage x":                false,
		"// code generated by a tool; DO NOT EDIT.\n\npackage x":   false,
		"package x\n\n// Code generated by a tool; DO NOT EDIT.\n": false,
	} {
		file, err := parser.ParseFile(token.NewFileSet(), "", text, parser.SkipObjectResolution|parser.ParseComments)
		require.NoError(t, err)
		assert.Equal(t, want, source{file: file}.generated(), text)
	}
	var names []string
	for _, s := range sources(t) {
		if s.generated() {
			names = append(names, s.folder+"/"+s.name)
		}
	}
	assert.Equal(t, []string{"client/client.gen.go"}, names)
}

func TestPolicyLetsNoOtherVariableThrough(t *testing.T) {
	for text, want := range map[string]bool{
		"//go:embed a.json\nvar a []byte":                  true,
		"var a []byte":                                     false,
		"// go:embed a.json\nvar a []byte":                 false,
		"//go:embed a.json\nvar (\n\ta []byte\n\tb int\n)": false,
	} {
		file, err := parser.ParseFile(token.NewFileSet(), "", "package x\n\n"+text, parser.SkipObjectResolution|parser.ParseComments)
		require.NoError(t, err)
		assert.Equal(t, want, embeds(file.Decls[0].(*ast.GenDecl)), text)
	}
}
