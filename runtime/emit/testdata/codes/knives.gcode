(Creasewright, RS274/NGC, millimetres)
(piece: plate)
(board: card _grey_, 0.4 mm)
(machine: table, bed 60 x 50 mm)
(size: 40 x 30 mm, its corner at X5 Y5)
(Z0 is the upper face of the board)
(several tools: each is called for by T and M6)
(caution: Wheel: keep hands clear of the moving head. Not assessed for)
(... your machine or stock: its manual and local rules come first.)
(caution: Knife: the blade is exposed when lifted, keep hands clear. Try)
(... the first run in air. Not assessed for your machine or stock: its)
(... manual and local rules come first.)
G21 G90 G17 G94
G0 Z5
(score: wheel, tool 1, depth 0.2 mm)
T1 M6
G0 Z5
F2400
G0 X5.0000 Y13.0000
G1 Z-0.2
G1 X45.0000 Y13.0000
G0 Z5
(perforated: knife, tool 2, depth 0.5 mm, not compensated for offset 0.25)
(... mm)
T2 M6
G0 Z5
F750
G0 X12.0000 Y27.0000
G1 Z-0.5
G1 X9.0000 Y27.0000
G0 Z5
G0 X8.0000 Y27.0000
G1 Z-0.5
G1 X5.0000 Y27.0000
G0 Z5
(cut: knife, tool 2, depth 0.5 mm, not compensated for offset 0.25 mm)
F750
G0 X20.0000 Y20.0000
G1 Z-0.5
G2 X25.0000 Y25.0000 I5.0000 J0.0000
G2 X30.0000 Y20.0000 I0.0000 J-5.0000
G2 X25.0000 Y15.0000 I-5.0000 J0.0000
G2 X20.0000 Y20.0000 I0.0000 J5.0000
G0 Z5
G0 X18.7500 Y5.0000
G1 Z-0.5
G1 X45.0000 Y5.0000
G1 X45.0000 Y25.0000
G3 X35.0000 Y35.0000 I-10.0000 J0.0000
G1 X15.0000 Y35.0000
G3 X12.9182 Y34.8287 I0.0001 J-12.7371
G3 X10.9063 Y34.2813 I1.6815 J-10.1511
G3 X9.2208 Y33.4308 I3.3888 J-8.8112
G3 X7.7500 Y32.2500 I4.6618 J-7.3131
G3 X6.5692 Y30.7792 I6.1323 J-6.1326
G3 X5.7188 Y29.0938 I7.9608 J-5.0740
G3 X5.1713 Y27.0818 I9.6035 J-3.6938
G3 X5.0000 Y25.0000 I12.5658 J-2.0819
G1 X5.0000 Y5.0000
G1 X18.7500 Y5.0000
G0 Z5
(part-cut: knife, tool 2, depth 0.5 mm, not compensated for offset 0.25)
(... mm)
F750
G0 X45.0000 Y40.0000
G1 Z-0.5
G1 X40.0000 Y40.0000
G1 Z-0.25
G3 X39.7500 Y39.7500 I0.0000 J-0.2500
G1 Z-0.5
G1 X39.7500 Y36.0000
G0 Z5
M2
