package spec

import (
	"errors"
	"reflect"
	"slices"
	"strings"
	"sync"

	"github.com/go-playground/validator/v10"
)

// FieldError is one fault of a request: where it is, which requirement it
// breaks, and in words what to write instead.
type FieldError struct {
	// Pointer is the JSON Pointer (RFC 6901) of the fault in the body, empty for the body as a whole and for a query parameter.
	Pointer string `json:"pointer" validate:"max=512" format:"json-pointer"`
	// Parameter is the name of the query parameter at fault, shortened where it is long. Absent where the fault is in the body.
	Parameter string `json:"parameter,omitempty" validate:"max=64"`
	// Rule names the requirement that is broken.
	Rule string `json:"rule" validate:"max=64"`
	// Detail says what was received and what to write instead.
	Detail string `json:"detail" validate:"max=4000"`
}

// Report collects faults.
type Report struct {
	Errors []FieldError
}

// Add appends one fault.
func (r *Report) Add(pointer, rule, detail string) {
	r.Errors = append(r.Errors, FieldError{Pointer: pointer, Rule: rule, Detail: detail})
}

// Checker is a document with requirements between its fields. Check reports
// those that are broken, at pointers below at.
type Checker interface {
	Check(at string, r *Report)
}

// Validator judges documents by the validator tags of their fields and by
// their Check methods. It is safe for concurrent use.
type Validator struct {
	v *validator.Validate
}

// NewValidator builds a Validator.
func NewValidator() *Validator {
	v := validator.New(validator.WithRequiredStructEnabled())
	v.RegisterTagNameFunc(func(f reflect.StructField) string {
		name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		return name
	})
	var lists sync.Map // the legal values by type, so that each list is built once and not for each value
	err := v.RegisterValidation("enum", func(fl validator.FieldLevel) bool {
		legal, known := lists.Load(fl.Field().Type())
		if !known {
			e, ok := fl.Field().Interface().(Enum)
			if !ok {
				return false
			}
			legal, _ = lists.LoadOrStore(fl.Field().Type(), e.Enum())
		}
		return slices.Contains(legal.([]string), fl.Field().String())
	})
	if err != nil {
		panic("spec: " + err.Error()) // only an empty tag name or a nil function can get here
	}
	return &Validator{v: v}
}

// Validate returns every fault of doc, a pointer to a document struct: broken
// tags first, in the order of the fields, then contradictions between fields.
func (v *Validator) Validate(doc any) []FieldError {
	var r Report
	if err := v.v.Struct(doc); err != nil {
		var broken validator.ValidationErrors
		if !errors.As(err, &broken) {
			r.Add("", "document", "the document cannot be validated")
			return r.Errors
		}
		for _, e := range broken {
			r.Add(pointerOf(e.Namespace()), e.Tag(), describe(e))
		}
	}
	if c, ok := doc.(Checker); ok {
		c.Check("", &r)
	}
	return r.Errors
}

// pointerOf turns the validator's "Request.pack.cells[2].voltage_v" into the
// JSON Pointer "/pack/cells/2/voltage_v".
func pointerOf(namespace string) string {
	_, path, ok := strings.Cut(namespace, ".")
	if !ok {
		return ""
	}
	return "/" + strings.NewReplacer(".", "/", "[", "/", "]", "").Replace(path)
}
