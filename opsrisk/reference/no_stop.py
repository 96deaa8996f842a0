"""The air tables of the US Navy Diving Manual, Revision 7, as transcribed: no-stop limits, groups, intervals, altitude.

Three independent transcriptions were compared cell by cell; where they disagree the choice is listed in
DISAGREEMENTS. The printed pages were not seen. Until a named person of the agency has compared the
tables with its own printed copy, and signed that, the tool does not use them (see physics/no_stop.py).
All times in minutes, depths in fsw, altitudes in ft.
"""

from datetime import date

from opsrisk.reference.sources import NO_STOP_TABLES
from opsrisk.reference.value import Table

GROUPS = "ABCDEFGHIJKLMNOZ"
CAVEAT = (
    "US Navy Diving Manual Revision 7 as transcribed by third parties; the printed pages were not seen. "
    "Used here because the agency has compared the tables with its own printed copy."
)
CHECKED = date(2026, 11, 25)
NOTE = "transcriptions compared cell by cell; the printed page was not seen"
BLANK, UNLIMITED, UNDEFINED, SEE_30 = "-", "unl", "**", "r30"


def _rows(text: str) -> tuple[tuple[str, ...], ...]:
    return tuple(tuple(line.split()) for line in text.strip().splitlines())


# Table 9-7: longest bottom time for each repetitive group, and the no-stop limit.
LIMITS = Table(
    columns=(("depth", "fsw"), ("limit", "min"), *((group, "min") for group in GROUPS)),
    rows=_rows("""
 10   unl   57  101  158  245  426    -    -    -    -    -    -    -    -    -    -    -
 15   unl   36   60   88  121  163  217  297  449    -    -    -    -    -    -    -    -
 20   unl   26   43   61   82  106  133  165  205  256  330  461    -    -    -    -    -
 25  1102   20   33   47   62   78   97  117  140  166  198  236  285  354  469  992 1102
 30   371   17   27   38   50   62   76   91  107  125  145  167  193  223  260  307  371
 35   232   14   23   32   42   52   63   74   87  100  115  131  148  168  190  215  232
 40   163   12   20   27   36   44   53   63   73   84   95  108  121  135  151  163    -
 45   125   11   17   24   31   39   46   55   63   72   82   92  102  114  125    -    -
 50    92    9   15   21   28   34   41   48   56   63   71   80   89   92    -    -    -
 55    74    8   14   19   25   31   37   43   50   56   63   71   74    -    -    -    -
 60    63    7   12   17   22   28   33   39   45   51   57   63    -    -    -    -    -
 70    48    6   10   14   19   23   28   32   37   42   47   48    -    -    -    -    -
 80    39    5    9   12   16   20   24   28   32   36   39    -    -    -    -    -    -
 90    33    4    7   11   14   17   21   24   28   31   33    -    -    -    -    -    -
100    25    4    6    9   12   15   18   21   25    -    -    -    -    -    -    -    -
110    20    3    6    8   11   14   16   19   20    -    -    -    -    -    -    -    -
120    15    3    5    7   10   12   15    -    -    -    -    -    -    -    -    -    -
130    12    2    4    6    9   11   12    -    -    -    -    -    -    -    -    -    -
140    10    2    4    6    8   10    -    -    -    -    -    -    -    -    -    -    -
150     8    -    3    5    7    8    -    -    -    -    -    -    -    -    -    -    -
160     7    -    3    5    6    7    -    -    -    -    -    -    -    -    -    -    -
170     6    -    -    4    6    -    -    -    -    -    -    -    -    -    -    -    -
180     6    -    -    4    5    6    -    -    -    -    -    -    -    -    -    -    -
190     5    -    -    3    5    -    -    -    -    -    -    -    -    -    -    -    -
"""),
    source=NO_STOP_TABLES,
    where="table 9-7",
    checked=CHECKED,
    status="read",
    note=NOTE,
)

# Table 9-8, left: after how many minutes at most a diver of the row's group still counts as the column's.
# Every interval begins at 10 minutes; past the last figure the next dive is not a repetitive one.
INTERVALS = Table(
    columns=(("group", ""), *((group, "min") for group in reversed(GROUPS))),
    rows=_rows("""
A    -    -    -    -    -    -    -    -    -    -    -    -    -    -    -  140
B    -    -    -    -    -    -    -    -    -    -    -    -    -    -   76  216
C    -    -    -    -    -    -    -    -    -    -    -    -    -   55  131  271
D    -    -    -    -    -    -    -    -    -    -    -    -   52  107  183  323
E    -    -    -    -    -    -    -    -    -    -    -   52  104  159  235  375
F    -    -    -    -    -    -    -    -    -    -   52  104  157  211  288  428
G    -    -    -    -    -    -    -    -    -   52  104  157  209  263  340  480
H    -    -    -    -    -    -    -    -   52  104  157  209  261  316  392  532
I    -    -    -    -    -    -    -   52  104  157  209  261  313  368  444  584
J    -    -    -    -    -    -   52  104  157  209  261  313  366  420  496  636
K    -    -    -    -    -   52  104  157  209  261  313  366  418  472  549  689
L    -    -    -    -   52  104  157  209  261  313  366  418  470  524  601  741
M    -    -    -   52  104  157  209  261  313  366  418  470  522  577  653  793
N    -    -   52  104  157  209  261  313  366  418  470  522  574  629  705  845
O    -   52  104  157  209  261  313  366  418  470  522  574  627  681  757  898
Z   52  104  157  209  261  313  366  418  470  522  574  627  679  733  810  950
"""),
    source=NO_STOP_TABLES,
    where="table 9-8, surface interval",
    checked=CHECKED,
    status="read",
    note=NOTE,
)

# Table 9-8, right: residual nitrogen time. ** cannot be determined: the group stays, the time is unlimited;
# r30 stands for the printed mark that sends the reader to the row of 30 fsw.
RESIDUALS = Table(
    columns=(("depth", "fsw"), *((group, "min") for group in GROUPS)),
    rows=_rows("""
 10   58  101  159  246  427   **   **   **   **   **   **   **   **   **   **   **
 15   37   61   89  122  164  218  298  450   **   **   **   **   **   **   **   **
 20   27   44   62   83  106  134  166  206  257  331  462   **   **   **   **   **
 25   21   34   48   63   79   98  118  141  167  198  237  286  354  470  r30  r30
 30   18   28   39   51   63   77   92  108  126  146  168  194  224  261  308  372
 35   15   24   33   43   53   64   75   88  101  116  132  149  169  191  216  245
 40   13   21   29   37   45   55   64   74   85   97  109  122  136  152  169  188
 45   12   18   25   32   40   48   56   64   73   83   93  104  115  127  140  154
 50   11   17   23   29   35   42   49   57   65   73   81   90   99  109  120  131
 55   10   15   20   26   32   38   44   51   58   65   72   80   88   96  105  114
 60    9   14   19   24   29   35   40   46   52   58   65   72   79   86   93  101
 70    8   12   16   20   25   29   34   39   44   49   54   59   65   71   77   83
 80    7   10   14   18   22   25   29   33   38   42   46   51   55   60   65   70
 90    6    9   12   16   19   22   26   29   33   37   41   44   48   52   57   61
100    5    8   11   14   17   20   23   26   30   33   36   40   43   47   50   54
110    5    8   10   13   16   18   21   24   27   30   33   36   39   42   45   48
120    5    7    9   12   14   17   19   22   24   27   30   32   35   38   41   44
130    4    6    9   11   13   15   18   20   22   25   27   30   32   35   37   40
140    4    6    8   10   12   14   16   19   21   23   25   27   30   32   34   37
150    4    6    8    9   11   13   15   17   19   21   23   26   28   30   32   34
160    4    5    7    9   11   13   14   16   18   20   22   24   26   28   30   32
170    3    5    7    8   10   12   14   15   17   19   21   22   24   26   28   30
180    3    5    6    8   10   11   13   14   16   18   19   21   23   25   26   28
190    3    5    6    8    9   11   12   14   15   17   18   20   22   23   25   26
"""),
    source=NO_STOP_TABLES,
    where="table 9-8, residual nitrogen time",
    checked=CHECKED,
    status="read",
    note=NOTE,
)

# Table 9-5: the group in which a diver arrives at an altitude.
ARRIVALS = Table(
    columns=(("altitude", "ft"), ("group", "")),
    rows=(
        ("1000", "A"),
        ("2000", "A"),
        ("3000", "B"),
        ("4000", "C"),
        ("5000", "D"),
        ("6000", "E"),
        ("7000", "F"),
        ("8000", "G"),
        ("9000", "H"),
        ("10000", "I"),
    ),
    source=NO_STOP_TABLES,
    where="table 9-5",
    checked=CHECKED,
    status="read",
    note=NOTE,
)

# Table 9-6: minutes to wait in the row's group before going up to 1,000, 2,000 ... 10,000 ft.
WAITS = Table(
    columns=(("group", ""), *((str(altitude), "min") for altitude in range(1000, 11000, 1000))),
    rows=_rows("""
A    0    0    0    0    0    0    0    0    0    0
B    0    0    0    0    0    0    0    0    0  102
C    0    0    0    0    0    0    0    0  108  383
D    0    0    0    0    0    0    0  105  324  599
E    0    0    0    0    0    0   97  279  498  774
F    0    0    0    0    0   92  244  426  645  920
G    0    0    0    0   79  218  370  553  772 1047
H    0    0    0   66  190  329  482  664  883 1158
I    0    0   56  165  290  429  581  764  982 1258
J    0   41  145  255  379  519  671  853 1072 1347
K   30  123  227  337  461  600  753  935 1154 1429
L  105  198  302  412  536  675  828 1010 1229 1504
M  174  268  372  481  606  745  897 1080 1298 1574
N  239  332  436  546  670  809  962 1144 1363 1638
O  299  393  497  606  731  870 1022 1205 1423 1699
Z  356  449  553  663  787  926 1079 1261 1480 1755
"""),
    source=NO_STOP_TABLES,
    where="table 9-6",
    checked=CHECKED,
    status="read",
    note=NOTE,
)

# A: one transcription, B and C: two others; what stands above follows the arrow.
DISAGREEMENTS = (
    "9-7, limit at 25 fsw: A 1102, B 1105, C 1102 -> 1102, which is also the last group's cell in all three",
    "9-8, interval I to A: A 9:44, B 9:34, C 9:44 -> 9:44",
    "9-8, interval rows Z and O: B prints Z's row under O; A and C agree within a minute -> A",
    "9-8, interval rows F to Z: C differs by a minute in a number of cells; A and B agree -> A",
    "9-8, residual at 160 to 190 fsw, group B: A 5, B 3, C 5 -> 5",
    "9-8, residual at 10 and 25 fsw: C is shifted by a column; A and B agree -> A",
    "9-8, residual at 180 fsw: G 13 (A, B) or 12 (C), C 6 (A, B) or 7 (C) -> A",
)
