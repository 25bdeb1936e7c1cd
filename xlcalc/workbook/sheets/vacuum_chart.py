"""The chart of Vacuum: what is left after each full stop, with the reservoir that is fitted and the one wanted."""

from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from xlcalc.workbook.building.blocks import Placed, two_lines
from xlcalc.workbook.building.charts import Axis, Curve, Figures, choice, draw
from xlcalc.workbook.building.style import DECIDES, Painter

Span = tuple[int, int, int]
"""Column, first and last row of figures."""

CLEAR = 0.06  # of the vacuum at the start: how far a label stands off its curve
SIZE_CM, ROWS_OF_CHART = (17.0, 6.8), 15  # as high as leaves it on the sheet of paper of the tables
POINTS = 7  # stops 0 to 6 of the chart, or as many steps to more


class _Servo:
    """The cells of the servo that the chart shows, and the words that stand for them."""

    def __init__(self, at: Figures, servos: Placed, shown: str) -> None:
        self._at, self._servos = at, servos
        self.place = at.put(0, "Place", f'=IF({shown}="",2,IFERROR(MATCH({shown},ServoNames,0),0))')
        after = f"INDEX({self._area('after')},{self.place})"
        self.draws = at.put(1, "Draws", f"=IF({self.place}=0,FALSE,ISNUMBER({after}))")
        self.road = self._of(2, "Vacuum at the road", "road")
        self.swept = self._of(3, "Stroke volume", "swept")
        self.volume = self._of(4, "Servo volume", "servon")
        self.fitted = self._of(5, "Fitted", "reservoirn")
        self.size = self._of(6, "To fit", "size")
        self.stops = self._of(7, "Stops wanted", "stopsn")
        self.after = self._of(8, "Left after them", "after")
        self.least = self._of(9, "At least", "least")
        self.height = self._of(10, "Highest road", "height")
        self.step = at.put(11, "Stops a point", f'=IF({self.draws},MAX(1,ROUNDUP({self.stops}/{POINTS - 1},0)),"")')
        self.fitted_words = at.put(12, "Fitted in words", f'=IF({self.draws},FIXED({self.fitted},1,TRUE)&" L fitted","")')
        self.wanted_words = at.put(13, "Wanted in words", f'=IF({self.size}="","",FIXED({self.size},1,TRUE)&" L wanted")')
        self.least_words = at.put(14, "Least in words", f'=IF({self.draws},"at least "&ROUND({self.least},3)&" kPa","")')
        self.left_words = self._of(26, "Left in words", "aftersaid")
        self.stops_words = self._of(27, "Stops in words", "stopswords")

    def _area(self, key: str) -> str:
        return self._servos.made.area(key, self._servos.count, sheet=False)

    def _of(self, place: int, head: str, key: str) -> str:
        return self._at.put(place, head, f'=IF({self.draws},INDEX({self._area(key)},{self.place}),"")')

    def left(self, stops: str, reservoir: str) -> str:
        """The vacuum after so many stops with a reservoir, as a piece of a formula."""
        return f"VACUUM_AFTER_STOPS({self.road},{stops},{self.swept},{self.volume},{reservoir},RoadAltitude)"

    def sentence(self) -> str:
        """What the chart shows, in words."""
        said = (f'INDEX(ServoNames,{self.place})&": "&{self.left_words}&" kPa left after "&{self.stops_words}&" at "&{self.height}&", "'
                f'&{self.least_words}&": reservoir "&{self.fitted_words}&IF({self.size}="","",", "&{self.wanted_words})')  # fmt: skip
        return f'=IF({self.draws},{said},"Vacuum over stops: fill in a servo and pick it")'


def chart(sheet: Worksheet, painter: Painter, servos: Placed, row: int, columns: tuple[int, int]) -> int:
    """Write the choice, the sentence that answers it, the figures and the chart, from one column to another.

    Answers its last row.
    """
    made = servos.made
    shown = choice(sheet, painter, row, "Servo shown", "ServoList", "Which servo the chart shows. Blank: the first row.",
                   column=columns[0])
    at = Figures(sheet, painter, row, 1 + sum(not each.folded for each in made.columns))
    servo = _Servo(at, servos, shown)
    two_lines(sheet, painter, row + 1, columns, servo.sentence(), DECIDES)
    curves = _curves(at, servo)
    curves += _labels(at, servo, asked=curves[-1].x)
    draw(sheet, f"{get_column_letter(columns[0])}{row + 2}", Axis("full stops without the engine", low=0),
         Axis("vacuum left, kPa below the air", low=0), curves, SIZE_CM)  # fmt: skip
    return row + 1 + ROWS_OF_CHART


def _curves(at: Figures, servo: _Servo) -> list[Curve]:
    """Both reservoirs over the stops, the least vacuum, and the stops that are asked for."""
    count = at.column(15, "Stops", [f'=IF({servo.draws},{n}*{servo.step},"")' for n in range(POINTS)])
    points = at.cells(15, POINTS)
    fitted = at.column(16, "With the fitted, kPa", [f'=IF({servo.draws},{servo.left(cell, servo.fitted)},"")' for cell in points])
    wanted = at.column(17, "With the wanted, kPa", [f'=IF({servo.size}="","",{servo.left(cell, servo.size)})' for cell in points])
    floor = at.column(18, "Least, kPa", [f"={servo.least}"] * POINTS)
    asked = at.column(19, "Stops asked", [f"={servo.stops}"]), at.column(20, "Left then, kPa", [f"={servo.after}"])
    return [
        Curve("fitted", count, fitted, "first", label=""),
        Curve("wanted", count, wanted, "second", label=""),
        Curve(servo.least_words, count, floor, "limit"),
        Curve("asked", *asked, "first", label="", marks=True),
    ]


def _labels(at: Figures, servo: _Servo, asked: Span) -> list[Curve]:
    """The names of both reservoirs as curves of one point, which draw nothing but their label, where no other line runs.

    One stands behind the stops that are `asked` for, the other at them.
    """
    fitted, size = servo.fitted, servo.size
    on = at.column(21, "One point on", [f'=IF({servo.draws},{servo.stops}+{servo.step},"")'])
    above = f'{servo.left(at.address(on), f"MAX({fitted},{size})")}+{servo.road}*{CLEAR}'
    below = f'{servo.left(servo.stops, f"MIN({fitted},{size})")}-{servo.road}*{CLEAR}'
    upper = at.column(22, "Upper curve there", [f'=IF({servo.draws},{above},"")'])
    lower = at.column(23, "Lower curve", [f'=IF({size}="","",{below})'])
    words = servo.fitted_words, servo.wanted_words
    upper_words = at.put(24, "Upper in words", f'=IF({size}="",{words[0]},IF({fitted}<{size},{words[1]},{words[0]}))')
    lower_words = at.put(25, "Lower in words", f'=IF({size}="","",IF({fitted}<{size},{words[0]},{words[1]}))')
    return [Curve(upper_words, on, upper), Curve(lower_words, asked, lower, label="left")]
