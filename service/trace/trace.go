// Package trace puts together how an answer was worked out: the steps that its
// numbers rest on, each with a formula, an input, an assumption or a sourced
// parameter, in the order in which they depend on each other.
//
// A question describes its steps in a Book, by name; only those that a number
// of the answer rests on, directly or not, come into the trace.
package trace

import (
	"slices"

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

// Step adds a step of the answer's own, without a name in the book.
func (b *Builder) Step(at, id string, n spec.TraceNode) {
	b.put(id, n)
	b.Show(at, id)
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
	if n, found := b.find(id); found {
		b.put(id, n)
	}
}

func (b *Builder) put(id string, n spec.TraceNode) {
	if _, known := b.at[id]; known {
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
	for i := 0; i < len(formula); {
		if !isLetter(formula[i]) {
			i++
			for i > 0 && i < len(formula) && isDigit(formula[i-1]) && (isLetter(formula[i]) || isDigit(formula[i])) {
				i++ // an exponent belongs to its number
			}
			continue
		}
		j := i
		for j < len(formula) && (isLetter(formula[j]) || isDigit(formula[j]) || formula[j] == '.') {
			j++
		}
		if name := formula[i:j]; len(name) > 1 && !slices.Contains(Functions(), name) && !slices.Contains(out, name) {
			out = append(out, name)
		}
		i = j
	}
	return out
}

// Functions lists the functions and the words of the notation.
func Functions() []string {
	return []string{
		"min", "max", "sum", "mean", "median", "exp", "ln", "sqrt", "floor", "ceil", "abs", "round9", "if", "and", "or",
		"repeat", "range", "integral", "ode", "first", "first_step", "last_step", "greatest", "largest", "argmax", "argmin", "pi",
	}
}

func isLetter(b byte) bool { return 'a' <= b && b <= 'z' || b == '_' }

func isDigit(b byte) bool { return '0' <= b && b <= '9' }
