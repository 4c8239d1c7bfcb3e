package cell

import (
	"math"

	"github.com/wattkeel/wattkeel/service/spec"
)

// Sources that several chemistries share. A value that only one uses names its
// source where it stands.

func recalled(kind spec.SourceKind, what string) spec.Source {
	return spec.Source{Kind: kind, Title: what, Standing: spec.FromMemory}
}

// ZoneNote is the published note on the temperature zones of lithium cells.
func ZoneNote(clause string) spec.Source {
	return spec.Source{
		Kind: spec.Handbook, Title: "A semiconductor maker's design note on the JEITA battery temperature zones",
		Clause: clause, Standing: spec.Read,
	}
}

// FireBody is the published advice of a public fire body.
func FireBody(clause string) spec.Source {
	return spec.Source{
		Kind: spec.Guidance, Title: "U.S. Fire Administration, Battery Fire Safety",
		Clause: clause, Standing: spec.Read,
	}
}

func standardRange() spec.Source {
	return spec.Source{
		Kind: spec.Standard, Title: "IEC 62133-2:2017", Clause: "standard charging range 10 to 45 °C",
		Year: 2017, Standing: spec.FromMemory,
	}
}

// warmZone is between what a public fire body allows and where the standard
// range ends; the gentle rate in it is ours.
func warmZone() spec.Source {
	return spec.Practice("40 to 45 °C: a public fire body would not charge above 40 °C, the standard range ends at 45 °C; at most the gentle rate, with a caution")
}

// lithiumZones are the charge temperatures of every lithium chemistry here.
func lithiumZones() []Zone {
	return []Zone{
		{math.Inf(-1), 0, 0, FireBody("do not charge below 32 °F (0 °C)")},
		{0, 10, 0.5, ZoneNote("half current from 0 to 10 °C")},
		{10, 40, math.Inf(1), standardRange()},
		{40, 45, 0.5, warmZone()},
		{45, math.Inf(1), 0, standardRange()},
	}
}

// polarization is the part of the resistance a 1 kHz meter does not see. A
// reading 10 s after a load step is about 2.2 times the 1 kHz reading (from
// memory), and the effective value at the end of constant current 1.2 to 2.2,
// here 1.7, times the 10 s value: 1.7 × 2.2 − 1.
func polarization() Param {
	return Param{tenSecondToEnd*tenSecondToAC - 1, spec.Source{
		Kind: spec.Derived, Title: "1.7 (published cells: 1.2 to 2.2) times a 10 s reading, which is about 2.2 times a 1 kHz reading (from memory), less the reading itself",
	}}
}

// polarTime weights the two time constants of the published polymer cell by
// their resistances: (0.04669 Ω × 32.8 s + 0.04984 Ω × 223 s) / 0.09653 Ω.
func polarTime() Param {
	return Param{chenTimeConst, spec.Source{
		Kind: spec.Paper, Title: "M. Chen, G. A. Rincon-Mora, IEEE Trans. Energy Conversion 21(2), 504-511",
		Clause: "R and C at half charge, two time constants weighted by resistance", Year: 2006, Standing: spec.Read,
	}}
}

func curveAccuracy() float64 { return 0.020 }

func recoveryRate() Param {
	return Param{0.1, spec.Practice("a deeply discharged cell is raised at a tenth of 1 C")}
}

func balanceTolerance() Param {
	return Param{0.010, spec.Practice("cells within 10 mV at rest near full count as balanced")}
}
