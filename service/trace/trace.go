// Package trace puts together how an answer was worked out: the steps that its
// numbers rest on, each with a formula, an input, an assumption or a sourced
// parameter, in the order in which they depend on each other.
//
// A question describes its steps in a Book, by name; only those that a number
// of the answer rests on, directly or not, come into the trace.
package trace

import (
	"slices"
	"strings"

	"github.com/wattkeel/wattkeel/service/spec"
)

// Book finds the step that a name stands for. The node it returns lacks ID, At
// and Inputs.
type Book func(id string) (spec.TraceNode, bool)

// Builder collects the steps of one answer.
type Builder struct {
	find    Book
	nodes   []spec.TraceNode
	at      map[string]int  // by id, where the node stands in nodes
	pending map[string]bool // being added
}

// NewBuilder builds a Builder that looks steps up in a book.
func NewBuilder(find Book) *Builder {
	return &Builder{find: find, at: map[string]int{}, pending: map[string]bool{}}
}

// Show adds the step id, and all that it rests on, as what the number of the
// answer at the JSON Pointer shows. A name that the book does not have is left
// out.
func (b *Builder) Show(at, id string) {
	b.add(id)
	if i, known := b.at[id]; known {
		n := &b.nodes[i]
		if !slices.Contains(n.At, at) {
			n.At = append(n.At, at)
		}
	}
}

// Value is the value of a step that is a number.
func (b *Builder) Value(id string) (float64, bool) {
	n, found := b.find(id)
	if !found || n.Value == nil {
		return 0, false
	}
	return *n.Value, true
}

// Nodes are the steps collected so far.
func (b *Builder) Nodes() []spec.TraceNode { return b.nodes }

func (b *Builder) add(id string) {
	if _, known := b.at[id]; known || b.pending[id] {
		return
	}
	n, found := b.find(id)
	if !found {
		return
	}
	b.pending[id] = true
	n.ID, n.Inputs = id, Names(n.Formula)
	for _, name := range n.Inputs {
		b.add(name)
	}
	b.at[id] = len(b.nodes)
	b.nodes = append(b.nodes, n)
}

// Names lists the ids that a formula names, each once, in order: names of more
// than one letter that are not functions of the notation.
func Names(formula string) []string {
	var out []string
	Rename(formula, func(name string) string {
		if !slices.Contains(out, name) {
			out = append(out, name)
		}
		return name
	})
	return out
}

// Rename is a formula with each id that it names replaced by what to says.
func Rename(formula string, to func(name string) string) string {
	var b strings.Builder
	for i := 0; i < len(formula); {
		j := i
		for j < len(formula) && isWord(formula[j]) {
			j++
		}
		switch word := formula[i:j]; {
		case j == i:
			j++
			b.WriteByte(formula[i])
		case len(word) == 1 || isDigit(word[0]) || isFunction(word):
			b.WriteString(word)
		default:
			b.WriteString(to(word))
		}
		i = j
	}
	return b.String()
}

// isFunction says whether a word belongs to the notation.
func isFunction(word string) bool {
	switch word {
	case "min", "max", "sum", "mean", "median", "exp", "ln", "ln1p", "expm1", "sqrt", "floor", "ceil", "abs", "round9", "if", "and", "or",
		"repeat", "range", "list", "entry", "sums", "integral", "ode", "first", "first_step", "last_step", "greatest", "largest", "argmax", "argmin", "pi":
		return true
	}
	return false
}

// isWord says whether a byte can stand in a name or a number.
func isWord(b byte) bool { return 'a' <= b && b <= 'z' || b == '_' || b == '.' || isDigit(b) }

func isDigit(b byte) bool { return '0' <= b && b <= '9' }
