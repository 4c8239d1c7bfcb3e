package contract

import (
	"go/ast"
	"go/parser"
	"go/token"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// POLICY. Where a test may have the bare handler of the service, and why. All
// other tests give it to conform's Watch, so that no answer goes unjudged;
// benchmarks measure the handler alone.
func unwatched() map[string]string {
	return map[string]string{
		"tests/load newSubject": "a measurement, of an answer that other tests judge",
		"tests/browser serve":   "what a browser asks for are pages, which are no operations of the document",
		"client service":        "an example shows a caller's code and nothing else",
		"tests/client TestAModuleOfSomebodyElseGetsTheClientAndNothingMore": "the caller is another program, which reads the answers by the client's types",
		"api start": "the answers are judged where they are read from the socket, by sendRaw",
	}
}

func TestNoTestTalksPastTheContract(t *testing.T) {
	watched := 0
	for _, s := range sources(t) {
		if !strings.HasSuffix(s.name, "_test.go") {
			continue
		}
		bare, n := bareHandlers(s.file)
		watched += n
		for _, function := range bare {
			if strings.HasPrefix(function, "Benchmark") {
				continue
			}
			assert.Contains(t, unwatched(), s.folder+" "+function, "%s/%s: give the handler to conform's Watch", s.folder, s.name)
		}
	}
	require.GreaterOrEqual(t, watched, 6, "the scan does not see what it is about")
}

// bareHandlers lists the functions that call X.Handler() other than as the
// argument of a call to Watch, and counts those that do.
func bareHandlers(file *ast.File) (bare []string, watched int) {
	for _, d := range file.Decls {
		function, is := d.(*ast.FuncDecl)
		if !is {
			continue
		}
		inside := map[ast.Expr]bool{}
		ast.Inspect(function, func(n ast.Node) bool {
			call, is := n.(*ast.CallExpr)
			if !is {
				return true
			}
			switch selected(call) {
			case "Watch":
				for _, a := range call.Args {
					inside[a] = true
				}
			case "Handler":
				switch {
				case inside[call]:
					watched++
				case len(call.Args) == 0:
					bare = append(bare, function.Name.Name)
				}
			}
			return true
		})
	}
	return bare, watched
}

func selected(call *ast.CallExpr) string {
	if s, is := call.Fun.(*ast.SelectorExpr); is {
		return s.Sel.Name
	}
	return ""
}

// The scan can fail.
func TestATestThatTalksPastTheContractIsNoticed(t *testing.T) {
	const text = `package p
func good() { c.Watch(t, s.Handler()).ServeHTTP(w, r) }
func bad() { s.Handler().ServeHTTP(w, r) }
func sly() { h := s.Handler(); c.Watch(t, h) }`
	file, err := parser.ParseFile(token.NewFileSet(), "p.go", text, 0)
	require.NoError(t, err)
	bare, watched := bareHandlers(file)
	assert.Equal(t, []string{"bad", "sly"}, bare)
	assert.Equal(t, 1, watched)
}
