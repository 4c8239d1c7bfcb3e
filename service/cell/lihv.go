package cell

import "github.com/wattkeel/wattkeel/service/spec"

// lihv is lithium polymer made to be charged to 4.35 V. No published curve to
// 4.35 V was found: the cobalt-oxide curve is continued at its own slope.
func lihv() *Chemistry {
	c := lipo()
	c.Name = spec.LiHV
	c.NominalV = Param{3.8, spec.Practice("labels print 3.8 V a cell")}
	c.NominalAltV = []Param{{3.85, spec.Practice("some labels print 3.85 V a cell")}}
	c.FullV = Param{4.35, maleki("high-voltage cells 3.0 to 4.35 V")}
	c.StorageV = Param{3.80, spec.Practice("storage charge is 3.80 to 3.85 V a cell at rest; the lower is kinder")}
	c.Curve = NewCurve(extend(cobaltOxidePouch(), c.FullV.Value, 0.90, 0.98))
	c.CurveFrom = Param{0.030, aiPouch()}
	c.CurveNote = "no published 4.35 V curve was found: the 4.2 V cobalt-oxide curve is continued from 4.20 to 4.35 V at its own mean slope between 90 and 98 %, and is taken as 30 mV uncertain"
	c.EnergyJKg = Param{160 * wattHour, recalled(spec.Handbook, "high-voltage polymer packs, a little above 150 Wh/kg")}
	return c
}
