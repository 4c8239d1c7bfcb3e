package spec

// TraceNode is one step of how an answer was worked out: a value with its
// formula, or with where it was taken from. The nodes of a trace stand in such
// an order that each comes behind those its formula names.
//
// A formula is arithmetic on the ids of other nodes: + - * / ^, comparisons,
// and, or; numbers in it only convert units. Lists combine entry by entry, and a
// number combines with every entry. The functions are: min, max, sum, mean and
// median of one list; min and max of several arguments, entry by entry; exp, ln,
// expm1(x), which is exp(x) - 1, and ln1p(x), which is ln(1 + x), both without
// losing the digits of a small x; sqrt, floor, ceil, abs; round9(x), to nine significant digits, as all that is
// set on a charger; if(condition, then, else), of which only the part that
// holds is worked out; repeat(x, n), a list of n times x; range(a, b), the whole
// numbers from a to b; list(x, …), a list of its arguments; entry(list, i), the one
// with number i, from 0; sums(list), the sums up to each entry; integral(f, x, a, b);
// ode(f, y, y0, x, a, b), the value at b of the solution of dy/dx = f with y = y0
// at a, where y and f may be lists of as many entries; first(condition, x, a, b), the
// least x from a to b at which the condition holds, or b where it holds nowhere;
// first_step and last_step, the same over whole numbers, from below and from
// above; greatest(f, x, a, b), the largest value between a and b, and
// largest(f, x, list), among the entries of a list; argmax and argmin(f, x, a, b),
// where between a and b it lies. A name of one letter is a variable of such a
// function, or an argument of a node that is a function; where the argument t or u
// of a node is a list, the function is worked out for each entry.
type TraceNode struct {
	// ID is the name by which formulas refer to the node, up to 128 characters.
	ID string `json:"id" validate:"max=128"`
	// Kind says where the value comes from.
	Kind TraceKind `json:"kind"`
	// At lists JSON Pointers to the numbers of the answer that show this value, rounded. In the pointer of a list * stands for the index of each entry.
	At []string `json:"at,omitempty" validate:"omitempty,max=64,dive,max=256"`
	// Field is the JSON Pointer into the request of a value that was given, or at which one that was assumed can be given.
	Field string `json:"field,omitempty" validate:"omitempty,max=256"`
	// Arguments names the arguments of a function.
	Arguments []string `json:"arguments,omitempty" validate:"omitempty,max=8,dive,max=1"`
	// Formula says how the value follows from other nodes. Absent where the value is given, assumed as it is, or a parameter.
	Formula string `json:"formula,omitempty" validate:"omitempty,max=4000"`
	// Inputs lists the ids that the formula names.
	Inputs []string `json:"inputs,omitempty" validate:"omitempty,max=600,dive,max=128"`
	// Value is the value, unrounded, in unit. Absent for lists and functions.
	Value *float64 `json:"value,omitempty" validate:"omitempty,gte=-1e15,lte=1e15" unit:"as the member unit says"`
	// Values is the list of values, unrounded, in unit. Absent for numbers and functions.
	Values []float64 `json:"values,omitempty" validate:"omitempty,max=600,dive,gte=-1e15,lte=1e15" unit:"as the member unit says"`
	// Points are the samples of a curve that is linear between them: it goes on at its first slope below, and stays above.
	Points []TracePoint `json:"points,omitempty" validate:"omitempty,max=256"`
	// Unit is the unit, spelled as the suffixes of field names are; coulomb, joule, volt and the like are written out where no field name ends in them.
	Unit string `json:"unit,omitempty" validate:"omitempty,max=32"`
	// Says explains a value that has no formula.
	Says string `json:"says,omitempty" validate:"omitempty,max=400"`
	// Source is where a parameter or an assumption comes from.
	Source *Source `json:"source,omitempty"`
}

// TracePoint is one sample of a curve.
type TracePoint struct {
	// X is the argument: for an open-circuit curve the charge as a fraction of full, 0 to 1.
	X float64 `json:"x" validate:"gte=0,lte=1" unit:"as the axis of the curve"`
	// Y is the value: for an open-circuit curve the rested voltage of a cell in volts, 0 to 6.
	Y float64 `json:"y" validate:"gte=0,lte=6" unit:"as the member unit of the node says"`
}

// TraceKind says where the value of a step comes from.
type TraceKind string

const (
	TraceGiven     TraceKind = "given"     // the request gives it
	TraceAssumed   TraceKind = "assumed"   // the request leaves it out, and it is assumed
	TraceParameter TraceKind = "parameter" // data of the service, with its source
	TraceComputed  TraceKind = "computed"  // worked out by the formula
	TraceSearched  TraceKind = "searched"  // found by a search: no other value serves its formula better
	TraceFunction  TraceKind = "function"  // a formula of arguments
	TraceCurve     TraceKind = "curve"     // a function given by its samples
)

// Enum lists the kinds.
func (TraceKind) Enum() []string {
	return []string{
		string(TraceGiven), string(TraceAssumed), string(TraceParameter), string(TraceComputed),
		string(TraceSearched), string(TraceFunction), string(TraceCurve),
	}
}
