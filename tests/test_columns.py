"""A list in columns, alike on the screen, on paper and on the command line."""

from __future__ import annotations

from hosewright.phrases.lists import GAP, Column, in_columns, widths

Line = tuple[str, str, str]
COLUMNS: tuple[Column[Line], ...] = (
    Column("Yarn", lambda line: line[0], share=2, least=4),
    Column("Where", lambda line: line[1], share=1, least=4),
    Column("Grams", lambda line: line[2], number=True),
)
ROWS: list[Line] = [("Moss", "drawer", "8"), ("Slack Water Grey", "the box below the window", "211")]


def test_numbers_stand_on_the_right_and_nothing_is_cut_on_paper() -> None:
    assert in_columns(COLUMNS, ROWS) == [
        "Yarn              Where                     Grams",
        "Moss              drawer                        8",
        "Slack Water Grey  the box below the window    211",
    ]


def test_a_column_is_as_wide_as_its_words_where_there_is_room() -> None:
    assert widths(COLUMNS, ROWS, 100) == [16, 24, 5]


def test_what_one_column_leaves_the_other_takes() -> None:
    room = 16 + 14 + 5 + 2 * GAP
    assert widths(COLUMNS, ROWS, room) == [16, 14, 5]
    assert sum(widths(COLUMNS, ROWS, 30)) + 2 * GAP == 30


def test_with_more_to_come_every_share_is_taken_whole() -> None:
    assert widths(COLUMNS, None, 69) == [40, 20, 5]


def test_long_words_are_cut_or_go_on_below() -> None:
    cut = Column[Line]("", lambda line: line[1])
    wrapped = Column[Line]("", lambda line: line[1], wrapped=True)
    assert cut.cell("the box below", 8) == ["the box…"]
    assert wrapped.cell("the box below", 8) == ["the box", "below"]


def test_two_columns_above_each_other_have_two_lines() -> None:
    both = COLUMNS[0].above(COLUMNS[1])
    assert (both.heading, both.read(ROWS[0])) == ("Yarn\nWhere", "Moss\ndrawer")
