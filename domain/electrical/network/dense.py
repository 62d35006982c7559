"""Small dense linear systems: the core of a network has a handful of nodes."""

from collections.abc import Iterable, Mapping, Sequence

Matrix = list[list[float]]


def inverse(matrix: Sequence[Sequence[float]]) -> Matrix:
    """The inverse, by Gauss-Jordan elimination with partial pivoting.

    A pivot of zero (a part that nothing ties to the reference) is nudged.
    """
    size = len(matrix)
    rows = [[*row, *(1.0 if i == j else 0.0 for j in range(size))] for i, row in enumerate(matrix)]
    for column in range(size):
        best = max(range(column, size), key=lambda i: abs(rows[i][column]))
        rows[column], rows[best] = rows[best], rows[column]
        pivot = rows[column][column] or 1e-12
        top = rows[column] = [value / pivot for value in rows[column]]
        for i in range(size):
            factor = rows[i][column]
            if i != column and factor:
                rows[i] = [
                    value - factor * above for value, above in zip(rows[i], top, strict=True)
                ]
    return [row[size:] for row in rows]


def conductance_matrix(
    index: Mapping[str, int], branches: Iterable[tuple[str, str, float]], least: float
) -> Matrix:
    """Nodal conductances [S] of branches (node, node, siemens); a name not in ``index`` is at 0 V.

    ``least`` ties every node to the reference, so that loose parts have a definite voltage [S].
    """
    size = len(index)
    matrix = [[0.0] * size for _ in range(size)]
    for i in range(size):
        matrix[i][i] = least
    for a, b, siemens in branches:
        i, j = index.get(a, -1), index.get(b, -1)
        if i >= 0:
            matrix[i][i] += siemens
        if j >= 0:
            matrix[j][j] += siemens
        if i >= 0 and j >= 0 and i != j:
            matrix[i][j] -= siemens
            matrix[j][i] -= siemens
    return matrix
