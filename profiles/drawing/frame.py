"""What every sheet has: border, title block, ruler, cautions; and the room that is left."""

from dataclasses import dataclass, replace

from profiles.drawing import ruler, weights
from profiles.drawing.cautions import Caution, cautions_height, draw_cautions
from profiles.drawing.geometry import Box
from profiles.drawing.paper import Paper
from profiles.drawing.recorder import Recorder
from profiles.drawing.ruler import draw_ruler
from profiles.drawing.surface import Loss
from profiles.drawing.titleblock import TitleBlock, draw_title_block

GAP = 4.0
"""Clear space in mm between the border, the parts of the foot and the drawing."""


@dataclass(frozen=True, slots=True)
class Frame:
    """A sheet of paper with its border and foot."""

    paper: Paper
    block: TitleBlock
    cautions: tuple[Caution, ...] = ()
    has_ruler: bool = True
    """A sheet at true scale carries the ruler; a list does not need it."""

    def room(self) -> Box:
        """Return the box left for the drawing, `GAP` clear of everything."""
        inner, top = self.paper.printable.grown(-GAP), self._ruler_top()
        if self.cautions:
            top += GAP + cautions_height(inner.width, self.cautions)
        return replace(inner, bottom=top + GAP)

    def bare(self) -> "Frame":
        """Return the frame without what one sheet of several says for all."""
        return replace(self, cautions=(), block=replace(self.block, details=()))

    def numbered(self, number: int, count: int) -> "Frame":
        """Return the frame of sheet `number` of `count`."""
        return replace(self, block=replace(self.block, number=number, count=count))

    def draw(self, board: Recorder) -> list[Loss]:
        """Draw border and foot; return what the title block had to cut off."""
        border = self.paper.printable
        with board.layer("frame"):
            board.rectangle(border, weights.OUTLINE)
        strip = replace(border, top=self._strip_top())
        losses = draw_title_block(board, strip, self.block)
        if self.has_ruler:
            draw_ruler(board, (border.left + GAP, strip.top + GAP))
        if self.cautions:
            corner = (border.left + GAP, self._ruler_top() + GAP)
            draw_cautions(board, corner, border.width - 2 * GAP, self.cautions)
        return losses

    def _ruler_top(self) -> float:
        return self._strip_top() + (GAP + ruler.HEIGHT if self.has_ruler else 0.0)

    def _strip_top(self) -> float:
        return self.paper.margin + self.block.height(self.paper.printable.width)
