package spec

import "strings"

// SourceKind says what kind of document a value or rule comes from.
type SourceKind string

const (
	Standard       SourceKind = "standard"        // an international or national standard
	Regulation     SourceKind = "regulation"      // law or a regulator's rule
	Guidance       SourceKind = "guidance"        // published advice of a public body
	Paper          SourceKind = "paper"           // a scientific paper
	Handbook       SourceKind = "handbook"        // a handbook table or maker's technical sheet
	CommonPractice SourceKind = "common_practice" // a fact of the trade without one document behind it
	Derived        SourceKind = "derived"         // worked out here from the inputs named in the title
)

// Enum lists the kinds of source.
func (SourceKind) Enum() []string {
	return []string{
		string(Standard), string(Regulation), string(Guidance), string(Paper), string(Handbook),
		string(CommonPractice), string(Derived),
	}
}

// Standing says whether a source was read or recalled.
type Standing string

const (
	Read       Standing = "read"        // the words or numbers were read in the source or a stored copy
	FromMemory Standing = "from memory" // recalled, not confirmed in a document
)

// Enum lists the standings.
func (Standing) Enum() []string { return []string{string(Read), string(FromMemory)} }

// Source names where a value or a rule comes from.
type Source struct {
	// Kind is the kind of document.
	Kind SourceKind `json:"kind"`
	// Title names the document, or says what the practice is.
	Title string `json:"title" validate:"max=500"`
	// Clause is the clause, section, table or equation.
	Clause string `json:"clause,omitempty" validate:"max=200"`
	// Year is the year of publication, 1800 to 2100.
	Year int `json:"year,omitzero" validate:"omitempty,gte=1800,lte=2100" unit:"year"`
	// Standing says whether it was read or is recalled; absent for common practice and for derived values.
	Standing Standing `json:"standing,omitempty"`
}

// Practice is a fact of the trade without one document behind it.
func Practice(what string) Source { return Source{Kind: CommonPractice, Title: what} }

// String is the source as one line of text.
func (s Source) String() string {
	var b strings.Builder
	b.WriteString(s.Title)
	if s.Clause != "" {
		b.WriteString(", " + s.Clause)
	}
	if s.Kind == CommonPractice {
		b.WriteString(" (common practice)")
	}
	if s.Standing == FromMemory {
		b.WriteString(" (from memory)")
	}
	return b.String()
}
