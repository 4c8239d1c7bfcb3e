package cell

import "github.com/wattkeel/wattkeel/service/spec"

// liion is a cylindrical lithium-ion cell: nickel-rich, built for energy.
func liion() *Chemistry {
	return &Chemistry{
		Name:        spec.LiIon,
		NominalV:    Param{3.6, practice("labels print 3.6 V a cell")},
		NominalAltV: []Param{{3.7, practice("some labels print 3.7 V a cell")}},
		FullV:       Param{4.20, chenCylinder("2.5 to 4.2 V")},
		StorageV:    Param{3.80, practice("storage charge is 3.8 V a cell at rest")},
		SafeStartV:  Param{3.00, practice("a cell resting below 3.0 V is raised gently first")},
		FloorV:      Param{2.50, chenCylinder("2.5 to 4.2 V")},
		LoadedFloor: Param{2.50, chenCylinder("2.5 to 4.2 V")},
		Zones:       lithiumZones(),
		Curve:       NewCurve(nickelRichCylinder()),
		CurveFrom:   Param{curveAccuracy(), chenCylinder("computed by electrode balance from its half-cell potentials, about 20 mV in the middle, worse below 10 %")},
		Typical:     Param{0.040, recalled(spec.Handbook, "2.5 to 3.5 Ah cells: 12 to 25 milliohms on a 1 kHz meter")},
		PolarFactor: polarization(),
		PolarTime:   polarTime(),
		RecoveryC:   recoveryRate(),
		DefaultC:    Param{0.5, practice("0.5 C where the label prints no charge rate")},
		MostSoldC:   Param{5, practice("no cylindrical lithium-ion cell is sold for charging above 5 C")},
		ToleranceV:  balanceTolerance(),
		LifeDays:    Param{8 * 365, practice("about eight years")},
		EnergyJKg:   Param{220 * wattHour, recalled(spec.Handbook, "cylindrical lithium-ion packs, 200 to 260 Wh/kg")},
	}
}

func chenCylinder(clause string) spec.Source {
	return spec.Source{
		Kind: spec.Paper, Title: "C.-H. Chen, F. Brosa Planella, K. O'Regan, D. Gastol, W. D. Widanage, E. Kendrick, J. Electrochem. Soc. 167, 080534",
		Clause: clause, Year: 2020, Standing: spec.Read,
	}
}

// nickelRichCylinder is the open-circuit table of a graphite-silicon/NMC811 21700 cell, 2.5 to
// 4.2 V at 25 °C: charge as a fraction of full, volts.
func nickelRichCylinder() []Sample {
	return []Sample{
		{0, 2.5}, {0.005, 2.6146}, {0.01, 2.7114}, {0.02, 2.8625}, {0.03, 2.9712}, {0.04, 3.0504},
		{0.05, 3.1094}, {0.06, 3.1553}, {0.07, 3.1933}, {0.08, 3.2276}, {0.09, 3.2614}, {0.1, 3.2959},
		{0.11, 3.3307}, {0.12, 3.3637}, {0.13, 3.3924}, {0.14, 3.4157}, {0.15, 3.4339}, {0.16, 3.448},
		{0.17, 3.4592}, {0.18, 3.4687}, {0.19, 3.4771}, {0.2, 3.4852}, {0.21, 3.4932}, {0.22, 3.5014},
		{0.23, 3.5099}, {0.24, 3.519}, {0.25, 3.5286}, {0.26, 3.5386}, {0.27, 3.5491}, {0.28, 3.5599},
		{0.29, 3.5707}, {0.3, 3.5814}, {0.31, 3.5919}, {0.32, 3.6019}, {0.33, 3.6115}, {0.34, 3.6205},
		{0.35, 3.629}, {0.36, 3.6372}, {0.37, 3.6449}, {0.38, 3.6524}, {0.39, 3.6597}, {0.4, 3.667},
		{0.41, 3.6743}, {0.42, 3.6817}, {0.43, 3.6894}, {0.44, 3.6972}, {0.45, 3.7054}, {0.46, 3.7139},
		{0.47, 3.7227}, {0.48, 3.7319}, {0.49, 3.7413}, {0.5, 3.7509}, {0.51, 3.7606}, {0.52, 3.7702},
		{0.53, 3.7798}, {0.54, 3.7892}, {0.55, 3.7984}, {0.56, 3.8072}, {0.57, 3.8158}, {0.58, 3.8242},
		{0.59, 3.8324}, {0.6, 3.8406}, {0.61, 3.8489}, {0.62, 3.8578}, {0.63, 3.8673}, {0.64, 3.8779},
		{0.65, 3.8896}, {0.66, 3.902}, {0.67, 3.9146}, {0.68, 3.9266}, {0.69, 3.9377}, {0.7, 3.9479},
		{0.71, 3.9575}, {0.72, 3.9668}, {0.73, 3.9759}, {0.74, 3.985}, {0.75, 3.9943}, {0.76, 4.0037},
		{0.77, 4.0133}, {0.78, 4.023}, {0.79, 4.0326}, {0.8, 4.0421}, {0.81, 4.0512}, {0.82, 4.0599},
		{0.83, 4.0679}, {0.84, 4.0749}, {0.85, 4.0809}, {0.86, 4.0858}, {0.87, 4.0896}, {0.88, 4.0924},
		{0.89, 4.0946}, {0.9, 4.0967}, {0.91, 4.0991}, {0.92, 4.1025}, {0.93, 4.1075}, {0.94, 4.1144},
		{0.95, 4.1235}, {0.96, 4.1351}, {0.97, 4.1488}, {0.98, 4.1645}, {0.99, 4.1817}, {0.995, 4.1908},
		{1, 4.2},
	}
}
