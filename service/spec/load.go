package spec

import (
	"fmt"
	"strconv"
)

// Load is what a pack drives, as it draws from the pack's terminals.
type Load struct {
	// Kind says which of the other fields describes the load.
	Kind LoadKind `json:"kind" validate:"required,enum"`
	// CurrentA is the current of a constant_current load in amperes, 0.001 to 10,000.
	CurrentA *float64 `json:"current_a,omitempty" validate:"omitempty,gte=0.001,lte=10000"`
	// PowerW is the power of a constant_power load in watts, 0.001 to 1,000,000.
	PowerW *float64 `json:"power_w,omitempty" validate:"omitempty,gte=0.001,lte=1000000"`
	// ResistanceOhm is the resistance of a constant_resistance load in ohms, 0.001 to 1,000,000.
	ResistanceOhm *float64 `json:"resistance_ohm,omitempty" validate:"omitempty,gte=0.001,lte=1000000"`
	// Segments are the parts of a cycle load, in order, at most 64; when the last has ended the first begins again.
	Segments []Segment `json:"segments,omitzero" validate:"omitempty,max=64,dive"`
}

// Segment is one part of a cycle load: a time at one current or at one power.
type Segment struct {
	// DurationS is how long it lasts, in seconds, 0.01 to 86,400.
	DurationS float64 `json:"duration_s" validate:"required,gte=0.01,lte=86400"`
	// CurrentA is its current in amperes, 0 to 10,000; 0 is a pause.
	CurrentA *float64 `json:"current_a,omitempty" validate:"omitempty,gte=0,lte=10000"`
	// PowerW is its power in watts, 0 to 1,000,000, in place of a current.
	PowerW *float64 `json:"power_w,omitempty" validate:"omitempty,gte=0,lte=1000000"`
}

// LoadKind says how a load draws.
type LoadKind string

const (
	ConstantCurrent    LoadKind = "constant_current"    // the same current whatever the voltage: current_a
	ConstantPower      LoadKind = "constant_power"      // more current as the voltage falls: power_w
	ConstantResistance LoadKind = "constant_resistance" // less current as the voltage falls: resistance_ohm
	Cycle              LoadKind = "cycle"               // segments, repeated
)

// Enum lists the kinds of load.
func (LoadKind) Enum() []string {
	return []string{string(ConstantCurrent), string(ConstantPower), string(ConstantResistance), string(Cycle)}
}

// Check reports contradictions between the fields of a load found at the JSON
// Pointer at.
func (l *Load) Check(at string, r *Report) {
	fields := []struct {
		name  string
		kind  LoadKind
		given bool
	}{
		{"current_a", ConstantCurrent, l.CurrentA != nil},
		{"power_w", ConstantPower, l.PowerW != nil},
		{"resistance_ohm", ConstantResistance, l.ResistanceOhm != nil},
		{"segments", Cycle, l.Segments != nil},
	}
	for _, f := range fields {
		switch {
		case l.Kind == f.kind && !f.given:
			r.Add(at+"/"+f.name, "load-of-its-kind", fmt.Sprintf("kind is %s, but %s is missing; write it", l.Kind, f.name))
		case l.Kind != f.kind && f.given && validKind(l.Kind):
			r.Add(at+"/"+f.name, "load-of-its-kind", fmt.Sprintf("kind is %s, so %s does not belong here; leave it out, or write kind %s", l.Kind, f.name, f.kind))
		}
	}
	if l.Kind != Cycle || l.Segments == nil {
		return
	}
	draws := false
	for i := range l.Segments {
		s := &l.Segments[i]
		where := at + "/segments/" + strconv.Itoa(i)
		switch {
		case s.CurrentA == nil && s.PowerW == nil:
			r.Add(where, "segment-has-one-load", "the segment has neither current_a nor power_w; write one of them (0 for a pause)")
			draws = true // one complaint is enough
		case s.CurrentA != nil && s.PowerW != nil:
			r.Add(where, "segment-has-one-load", "the segment has both current_a and power_w; keep the one that stays constant")
			draws = true
		case s.CurrentA != nil && *s.CurrentA > 0, s.PowerW != nil && *s.PowerW > 0:
			draws = true
		}
	}
	if !draws {
		r.Add(at+"/segments", "cycle-draws", "no segment draws anything; give at least one a current_a or power_w above 0")
	}
}

func validKind(k LoadKind) bool {
	for _, x := range k.Enum() {
		if string(k) == x {
			return true
		}
	}
	return false
}
