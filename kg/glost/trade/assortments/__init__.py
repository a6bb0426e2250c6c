"""What potteries offered: assortments of lists and lines, what they gained, lost and shared.

An article is a form in a trade size. A trade size, a potter's count and a measured size are three
different things: none is ever compared with another. That something was not offered is concluded
only from a list stated complete, of which no source says otherwise.
"""
